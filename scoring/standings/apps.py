from django.apps import AppConfig


class StandingsConfig(AppConfig):
    name = "scoring.standings"
    label = "standings"
    verbose_name = "Standings and board"
