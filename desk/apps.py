from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "desk"
    verbose_name = "The running installation"

    def ready(self) -> None:
        from desk import checks  # noqa: F401  registers the system checks
