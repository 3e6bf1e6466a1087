"""Public addresses under /board/<event>/.

What is polled names the event `board`, so that a poll reads nothing but the log; pages name it `slug` and get the
event.
"""

from django.urls import path

from scoring.standings import board_phone_views, board_views

app_name = "board"
urlpatterns = [
    path("<slug:slug>/", board_views.kiosk, name="kiosk"),
    path("<slug:board>/parts/", board_views.kiosk_parts, name="kiosk_parts"),
    path("<slug:slug>/phone/", board_phone_views.phone, name="phone"),
    path("<slug:board>/phone/parts/", board_phone_views.phone_parts, name="phone_parts"),
    path("<slug:board>/stop/", board_views.stop_parts, name="stop"),
]
