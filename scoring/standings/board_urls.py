"""Public addresses under /board/<event>/."""

from django.urls import path

from scoring.standings import board_views as views

app_name = "board"
urlpatterns = [
    path("", views.kiosk, name="kiosk"),
    path("parts/", views.kiosk_parts, name="kiosk_parts"),
    path("phone/", views.phone, name="phone"),
    path("phone/parts/", views.phone_parts, name="phone_parts"),
    path("stop/", views.stop_parts, name="stop"),
]
