from django.apps import AppConfig


class ReadyConfig(AppConfig):
    name = "events.logistics.ready"
    label = "ready"
    verbose_name = "Course ready"
