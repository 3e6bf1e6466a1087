from django.urls import path

from events.safety import weather_views as views

urlpatterns = [
    path("weather/", views.weather, name="weather"),
    path("weather/standing/", views.standing, name="standing"),
    path("weather/lightning/", views.lightning, name="lightning"),
    path("weather/limits/", views.limits, name="limits"),
    path("weather/readings/take-back/", views.take_back_reading, name="take_back_reading"),
    path("weather/lightning/take-back/", views.take_back_lightning, name="take_back_lightning"),
]
