from django.apps import AppConfig


class MessagesConfig(AppConfig):
    name = "events.logistics.messages"
    label = "event_messages"
    verbose_name = "Messages"
