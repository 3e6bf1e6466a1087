from django.apps import AppConfig


class RunningConfig(AppConfig):
    name = "events.logistics.running"
    label = "running"
    verbose_name = "Run of the day"
