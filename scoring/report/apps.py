from django.apps import AppConfig


class ReportConfig(AppConfig):
    name = "scoring.report"
    label = "report"
    verbose_name = "Results"
