"""Warnings, of one rule in one round or the director's own for the whole event; and holes that were not played.

Throws are rulings beside the card.
"""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Round


class Warning(models.Model):
    """Never wiped: it can be taken back. `round` null: for the whole event, playoffs too (Competition Manual 2025,
    3.03.B); otherwise it ends with the round (Official Rules 2025, 801.02)."""

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="warnings")
    round = models.ForeignKey(Round, null=True, blank=True, on_delete=models.CASCADE, related_name="warnings")
    rule = models.CharField(max_length=100, blank=True, help_text="Key of the rule in the rulebook")
    hole_label = models.CharField(max_length=6, blank=True)
    what = models.CharField(max_length=200, blank=True, help_text="What was seen")
    caller = models.CharField(max_length=120)
    confirmer = models.CharField(max_length=120, blank=True)
    submission = models.UUIDField(unique=True, help_text="Made by the page: sent twice it is one warning")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=(Q(round__isnull=False) & ~Q(rule=""))
                | (Q(round__isnull=True, rule="", hole_label="") & ~Q(what="")),
                name="warning_of_a_rule_or_of_the_event",
                violation_error_message="A warning names its rule, or says what it is for and holds for the event.",
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True, taken_back_reason="")
                | (Q(taken_back_at__isnull=False) & ~Q(taken_back_reason="")),
                name="warning_taken_back_with_a_reason",
                violation_error_message="A warning is taken back with a reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"warning of {self.entry_id}"


class HoleNotPlayed(models.Model):
    """A hole that was scored for an absence: no play, so neither a rating nor a hole's average rests on it.

    It holds while the score that it gave still counts; a card that is typed anew says something else.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="holes_not_played")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="holes_not_played")
    hole_label = models.CharField(max_length=6)
    score = models.PositiveSmallIntegerField(help_text="Par and what the rules add")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "entry", "hole_label"],
                name="hole_not_played_once",
                violation_error_message="This hole is scored as not played already.",
            ),
            models.CheckConstraint(
                condition=Q(score__gt=0) & ~Q(hole_label=""), name="hole_not_played_has_label_and_score"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}, hole {self.hole_label}"
