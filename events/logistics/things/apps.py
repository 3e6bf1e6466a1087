from django.apps import AppConfig


class ThingsConfig(AppConfig):
    name = "events.logistics.things"
    label = "things"
    verbose_name = "Things"
