from django.apps import AppConfig


class IncidentsConfig(AppConfig):
    name = "events.logistics.incidents"
    label = "incidents"
    verbose_name = "Incidents"
