from django.apps import AppConfig


class CardsConfig(AppConfig):
    name = "scoring.cards"
    label = "cards"
    verbose_name = "Score cards"
