from django.apps import AppConfig


class LogisticsConfig(AppConfig):
    name = "events.logistics"
    label = "logistics"
    verbose_name = "Logistics"
