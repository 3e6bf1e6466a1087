from django.apps import AppConfig


class PrizesConfig(AppConfig):
    name = "scoring.prizes"
    label = "prizes"
    verbose_name = "Prizes"
