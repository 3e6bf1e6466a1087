from django.apps import AppConfig


class EntriesConfig(AppConfig):
    name = "events.entries"
    label = "entries"
    verbose_name = "Entries and check-in"
