from django.apps import AppConfig


class PlayoffsConfig(AppConfig):
    name = "scoring.playoffs"
    label = "playoffs"
    verbose_name = "Cuts and playoffs"
