from django.urls import path

from events.bags import player_views

app_name = "bag"
urlpatterns = [
    path("", player_views.page, name="page"),
    path("acts/", player_views.acts, name="acts"),
    path("models/", player_views.models, name="models"),
    path("advice/", player_views.advice, name="advice"),
]
