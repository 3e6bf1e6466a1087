from django.apps import AppConfig


class CountdownConfig(AppConfig):
    name = "events.logistics.countdown"
    label = "countdown"
    verbose_name = "Countdown"
