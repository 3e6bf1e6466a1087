"""Evidence that a group reconciled its card. The rules ask for no signature: it is never a ground for a penalty."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from scoring.cards.models.cards import Card
from scoring.cards.models.live import Device


class Confirmation(models.Model):
    """A player's yes to the own hole scores and total, by a tap or by the paper's signature. It holds for the figures
    of `digest` alone: when they change, it says so."""

    class Source(models.TextChoices):
        PHONE = "phone", "phone"
        PAPER = "paper", "paper card"

    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="confirmations")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="confirmations")
    source = models.CharField(max_length=5, choices=Source)
    device = models.ForeignKey(Device, on_delete=models.SET_NULL, null=True, related_name="confirmations")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the player's figures")
    total = models.PositiveSmallIntegerField(help_text="The total that was confirmed")
    key = models.UUIDField(unique=True, help_text="Made by the page: sent twice, it is one confirmation")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(source__in=["phone", "paper"]), name="confirmation_source_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id} confirms {self.total}"


class CardPhoto(models.Model):
    """A picture of the paper card, for the desk only; re-encoded, so that no place or device is kept in it."""

    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="photos")
    image = models.BinaryField(help_text="JPEG")
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"photo of the {self.card}"
