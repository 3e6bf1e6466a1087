"""Public addresses under /board/<event>/.

What is polled names the event `board`, so that a poll reads nothing but the log; pages name it `slug` and get the
event.
"""

from django.urls import path

from scoring.standings import board_phone_views, board_views, public_views

app_name = "board"
urlpatterns = [
    path("<slug:slug>/", board_views.kiosk, name="kiosk"),
    path("<slug:board>/parts/", board_views.kiosk_parts, name="kiosk_parts"),
    path("<slug:slug>/phone/", board_phone_views.phone, name="phone"),
    path("<slug:board>/phone/parts/", board_phone_views.phone_parts, name="phone_parts"),
    path("<slug:board>/stop/", board_views.stop_parts, name="stop"),
    path("<slug:board>/openapi.json", public_views.openapi, name="openapi"),
    path("<slug:board>/standings.json", public_views.standings, name="standings_json"),
    path("<slug:board>/overall.json", public_views.overall, name="overall_json"),
    path("<slug:board>/standings/<str:code>.json", public_views.division, name="division_json"),
    path("<slug:board>/round-<int:number>.ics", public_views.round_ics, name="round_ics"),
    path("<slug:board>/player/<int:entry>.ics", public_views.player_ics, name="player_ics"),
]
