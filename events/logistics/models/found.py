"""Lost and found: what was handed in, whose it may be, where it went."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Event, Round


class FoundThing(models.Model):
    """One thing that was handed in. Nothing is wiped: handed over by mistake it is held again, and the log knows."""

    class Outcome(models.TextChoices):
        HELD = "", "held"
        RETURNED = "returned", "returned"
        GIVEN_AWAY = "given_away", "given away"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="found_things")
    number = models.PositiveSmallIntegerField(
        help_text="1, 2, 3 … within the event, for a sticker on the thing"
    )
    what = models.CharField(max_length=120)
    written = models.CharField(max_length=120, blank=True, help_text="Name or number that stands on it")
    hole_label = models.CharField(max_length=6, blank=True)
    round = models.ForeignKey(
        Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="found_things"
    )
    found_by = models.CharField(max_length=80, blank=True)
    found_at = models.DateTimeField()
    entered_by = models.CharField(max_length=150)
    outcome = models.CharField(max_length=10, choices=Outcome, blank=True, default=Outcome.HELD)
    outcome_to = models.CharField(max_length=120, blank=True)
    outcome_entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="things_returned"
    )
    outcome_at = models.DateTimeField(null=True, blank=True)
    outcome_by = models.CharField(max_length=150, blank=True)
    # A disc that its owner played as lost and that somebody had taken: throws come back before the event ends.
    taken_from = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="discs_taken"
    )
    taken_settled_at = models.DateTimeField(null=True, blank=True)
    taken_settled_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["event", "number"], name="found_number_once"),
            models.CheckConstraint(
                condition=Q(what__gt=""),
                name="found_says_what",
                violation_error_message="Say what was found.",
            ),
            models.CheckConstraint(
                condition=Q(outcome="", outcome_at__isnull=True)
                | Q(outcome__in=["returned", "given_away"], outcome_at__isnull=False, outcome_to__gt=""),
                name="found_gone_to_somebody",
                violation_error_message="Say who has it now.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.what}"

    @property
    def held(self) -> bool:
        return self.outcome == self.Outcome.HELD

    @property
    def taken_open(self) -> bool:
        """Nobody has said that it needs no ruling; whether one stands is for the floor above to say."""
        return self.taken_from_id is not None and self.taken_settled_at is None
