"""What counts of each player's round at this moment, worked out from everything that was said about it."""

from django.db import models
from django.db.models import F, Q

from events.entries.models import Entry
from events.setup.models import Round
from scoring.cards.counted import Counted, counted, read_on_top


class StandingLine(models.Model):
    """One player's round as it counts. Never written by hand: `scoring.cards.restanding.restand` works it out
    again from the typed line, the phones' figures, radio calls and rulings, so that their order never matters.

    `total`, `played` and `complete` include rulings, so that standings read one row a player.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="standing_lines")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="standing_lines")
    throws = models.JSONField(
        help_text="Throws per hole of the layout, in its order; null: missing or differs"
    )
    penalties = models.JSONField(default=list, help_text="Penalty throws per hole, as far as written")
    additional = models.PositiveSmallIntegerField(default=0, help_text="Penalty throws on the round total")
    additional_reason = models.CharField(max_length=200, blank=True)
    written_total = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Total as the player wrote it on paper"
    )
    on_top = models.JSONField(
        default=list,
        help_text="Rulings that are not in the written figures: [hole index or null, throws, words]",
    )
    differs = models.JSONField(
        default=list,
        help_text="Labels of holes on which phones, or a phone and the typed card, say different figures",
    )
    called_through = models.PositiveSmallIntegerField(default=0, help_text="Holes of the last radio call")
    called_to_par = models.SmallIntegerField(default=0, help_text="To par of the last radio call")
    played = models.PositiveSmallIntegerField()
    total = models.PositiveSmallIntegerField(null=True, help_text="Throws so far; null: nothing written")
    complete = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "entry"], name="standing_line_once"),
            models.CheckConstraint(
                condition=Q(total__isnull=True) | Q(total__gte=F("played")),
                name="standing_total_at_least_holes",
                violation_error_message="Every hole takes at least one throw.",
            ),
            models.CheckConstraint(
                condition=Q(total__isnull=True, played=0) | Q(total__isnull=False),
                name="standing_missing_is_not_zero",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}: {self.total}"

    @property
    def counted(self) -> Counted:
        """Throws, additional throws and reason as they count, with the rulings on top."""
        return counted(self.throws, self.additional, self.additional_reason, read_on_top(self.on_top))
