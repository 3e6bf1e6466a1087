from django.urls import path

from scoring.ratings import views

app_name = "ratings"
urlpatterns = [path("", views.overview, name="overview")]
