from django.apps import AppConfig


class DrawConfig(AppConfig):
    name = "events.draw"
    label = "draw"
    verbose_name = "Pools, groups and tee times"
