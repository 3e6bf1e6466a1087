"""Penalties decided beside the card."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Round


class Ruling(models.Model):
    """A penalty on one player's round that was decided beside the card. Never wiped: it can be taken back.

    `in_card` null: nobody has said yet whether the group wrote it too, so it counts on top.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="rulings")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="rulings")
    hole_label = models.CharField(max_length=6, blank=True, help_text="Empty: on the round's total")
    throws = models.SmallIntegerField()
    rule = models.CharField(max_length=200, help_text="Document and section")
    what = models.CharField(max_length=200)
    caller = models.CharField(max_length=120, blank=True)
    confirmer = models.CharField(max_length=120, blank=True)
    in_card = models.BooleanField(null=True)
    origin = models.CharField(
        max_length=60, unique=True, help_text="What it came from, so that it is kept once"
    )
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(throws=0), name="ruling_counts_something"),
        ]

    def __str__(self) -> str:
        return f"{self.throws:+d} for {self.entry_id}"

    @property
    def by_hand(self) -> bool:
        """Written on the card's page; others belong to what they came from, and go with it."""
        return self.origin.startswith("by hand ")
