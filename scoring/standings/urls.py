from django.urls import path

from scoring.standings import views

app_name = "standings"
urlpatterns = [path("", views.overview, name="overview")]
