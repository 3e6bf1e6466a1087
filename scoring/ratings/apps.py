from django.apps import AppConfig


class RatingsConfig(AppConfig):
    name = "scoring.ratings"
    label = "ratings"
    verbose_name = "Round ratings"
