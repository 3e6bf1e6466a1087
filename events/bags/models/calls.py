"""Calls of play about a disc that was thrown. A call is written down, never wiped: it can be taken back."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Round
from players.models import Disc


class Call(models.Model):
    class Kind(models.TextChoices):
        UNMARKED = "unmarked", "unmarked disc thrown"
        ILLEGAL = "illegal", "illegal disc thrown"

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="disc_calls")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="disc_calls")
    playoff = models.BooleanField(default=False, help_text="In a playoff: warnings start afresh")
    hole_label = models.CharField(max_length=6)
    throw = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Which throw on the hole")
    disc = models.ForeignKey(Disc, null=True, blank=True, on_delete=models.PROTECT, related_name="calls")
    kinds = models.JSONField(help_text="Every rule that the throw broke; only the dearest counts")
    what = models.CharField(max_length=200, blank=True, help_text="What was seen")
    caller = models.CharField(max_length=120)
    confirmer = models.CharField(max_length=120, blank=True)
    warning = models.BooleanField(help_text="A warning: no throws")
    throws = models.PositiveSmallIntegerField()
    rule = models.CharField(max_length=100, help_text="Key of the rule that counts")
    submission = models.UUIDField(unique=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(warning=True, throws=0) | Q(warning=False, throws__gt=0),
                name="call_warns_or_counts",
            )
        ]

    def __str__(self) -> str:
        return f"call on {self.entry_id}, hole {self.hole_label}"
