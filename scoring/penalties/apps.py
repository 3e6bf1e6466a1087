from django.apps import AppConfig


class PenaltiesConfig(AppConfig):
    name = "scoring.penalties"
    label = "penalties"
    verbose_name = "Penalties and warnings"
