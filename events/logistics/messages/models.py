"""How an event's messages speak: their languages and who signs."""

from django.db import models

from events.setup.models import Event


class MessageWords(models.Model):
    """No row: in English, signed by the director without a name."""

    event = models.OneToOneField(Event, on_delete=models.CASCADE, related_name="message_words")
    languages = models.JSONField(default=list, help_text="Tags of the languages, in the order of the message")
    sign = models.CharField("signature", max_length=80, blank=True)

    def __str__(self) -> str:
        return f"messages of {self.event}"
