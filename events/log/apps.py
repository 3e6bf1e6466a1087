from django.apps import AppConfig


class LogConfig(AppConfig):
    name = "events.log"
    label = "log"
    verbose_name = "Log of acts"
