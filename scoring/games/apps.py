from django.apps import AppConfig


class GamesConfig(AppConfig):
    name = "scoring.games"
    label = "games"
    verbose_name = "Side games"
