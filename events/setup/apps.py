from django.apps import AppConfig


class SetupConfig(AppConfig):
    name = "events.setup"
    label = "setup"
    verbose_name = "Event set-up"
