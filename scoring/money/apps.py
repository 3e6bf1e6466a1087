from django.apps import AppConfig


class MoneyConfig(AppConfig):
    name = "scoring.money"
    label = "money"
    verbose_name = "Money of the event"
