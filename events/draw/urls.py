from django.urls import path

from events.draw import views

app_name = "draw"
urlpatterns = [path("", views.overview, name="overview")]
