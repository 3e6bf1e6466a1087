from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "events.safety"
    label = "safety"
    verbose_name = "Notices"
