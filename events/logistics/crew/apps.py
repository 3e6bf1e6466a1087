from django.apps import AppConfig


class CrewConfig(AppConfig):
    name = "events.logistics.crew"
    label = "crew"
    verbose_name = "Volunteers and staff"
