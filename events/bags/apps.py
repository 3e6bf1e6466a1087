from django.apps import AppConfig


class BagsConfig(AppConfig):
    name = "events.bags"
    label = "bags"
    verbose_name = "Bags"
