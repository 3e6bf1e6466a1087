"""What standings rest on beside the cards: cuts, and what stands apart from the figures of the rounds."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Division

AFTER_LAST_ROUND = 0  # in `Placing.after_round`: a tie for first place, not one at a cut
LAST_ROUND = 20  # as rounds are numbered


class Cut(models.Model):
    """Who of a division plays on after a round: so many players, or so many of a hundred.

    It is made known before registration opens (Competition Manual 2025, 1.08.A); later it has a `reason`.
    `posted` are the entries whose names went up: from then on the list stands, whatever a card says later.
    """

    class Ties(models.TextChoices):
        PLAYOFF = "playoff", "a playoff decides"
        ALL = "all", "all who are tied go on"

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="cuts")
    after_round = models.PositiveSmallIntegerField()
    players = models.PositiveSmallIntegerField(null=True, blank=True)
    percent = models.PositiveSmallIntegerField(null=True, blank=True)
    ties = models.CharField(max_length=8, choices=Ties, default=Ties.PLAYOFF)
    reason = models.CharField(max_length=200, blank=True)
    set_at = models.DateTimeField()
    set_by = models.CharField(max_length=150)
    posted = models.JSONField(null=True, blank=True, editable=False)
    posted_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["division", "after_round"],
                name="cut_once_after_a_round",
                violation_error_message="This division has a cut after this round already.",
            ),
            models.CheckConstraint(
                condition=Q(players__isnull=True, percent__isnull=False, percent__range=(1, 99))
                | Q(percent__isnull=True, players__isnull=False, players__gte=1),
                name="cut_players_or_percent",
                violation_error_message="Give a number of players, or a percentage from 1 to 99.",
            ),
            models.CheckConstraint(
                condition=Q(after_round__range=(1, LAST_ROUND - 1)),
                name="cut_after_a_round",
                violation_error_message="A cut follows round 1 to 19.",
            ),
            models.CheckConstraint(condition=Q(ties__in=["playoff", "all"]), name="cut_ties_known"),
            models.CheckConstraint(
                condition=Q(posted__isnull=True, posted_at__isnull=True)
                | Q(posted__isnull=False, posted_at__isnull=False),
                name="cut_posted_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"cut of {self.division} after round {self.after_round}"


class Placing(models.Model):
    """What decided among equals, or put a player last of the qualifiers: the row that counts now.

    `rank` orders those who are tied: 1 is first (or goes on at a cut). How it came about stands with the playoff.
    """

    class How(models.TextChoices):
        PLAYOFF = "playoff", "playoff"
        CO_WINNERS = "co-winners", "co-winners"
        DECLINED = "declined", "declined to play on"

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="placings")
    after_round = models.PositiveSmallIntegerField(default=AFTER_LAST_ROUND)
    how = models.CharField(max_length=10, choices=How)
    rank = models.PositiveSmallIntegerField()
    reason = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "after_round", "how"],
                name="placing_once_per_tie",
                violation_error_message="This is decided for the player already.",
            ),
            models.CheckConstraint(
                condition=Q(how__in=["playoff", "co-winners", "declined"]), name="placing_how_known"
            ),
            models.CheckConstraint(condition=Q(rank__gte=1), name="placing_rank_from_one"),
            models.CheckConstraint(
                condition=Q(after_round__lt=LAST_ROUND),
                name="placing_after_a_round",
            ),
            models.CheckConstraint(
                condition=~Q(how="co-winners") | (Q(after_round=AFTER_LAST_ROUND) & ~Q(reason="")),
                name="placing_co_winners_first_place_and_why",
                violation_error_message="Co-winners share the first place only, and the reason is kept.",
            ),
            models.CheckConstraint(
                condition=~Q(how="declined") | Q(after_round__gt=AFTER_LAST_ROUND),
                name="placing_declined_after_a_cut",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}: {self.how}, {self.rank}"
