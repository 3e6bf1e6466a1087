"""What the director decided about ratings, and the histories that were brought in. Rows are only ever added."""

from django.db import models
from django.db.models import Q

from events.course.models import Layout
from events.entries.models import Entry
from events.setup.models import Event, Round
from players.models import Person


class Decided(models.Model):
    """Who decided when, and why. The newest row counts; the earlier ones stay to be read."""

    reason = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        abstract = True
        ordering = ["pk"]


class MethodDecision(Decided):
    """How one pool is rated. `pool` is the key that the pool's rounds, layout and conditions give it."""

    class Method(models.TextChoices):
        RULEBOOK = "rulebook", "as the rulebook says"
        LINE = "line", "least-squares line"
        PROPORTIONAL = "proportional", "one-parameter line"
        FIXED = "fixed", "average typed in"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="rating_methods")
    pool = models.CharField(max_length=80)
    method = models.CharField(max_length=12, choices=Method)
    ssa = models.DecimalField(
        max_digits=6, decimal_places=3, null=True, blank=True, help_text="Throws, for the method fixed alone"
    )

    class Meta(Decided.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(method__in=["rulebook", "line", "proportional", "fixed"]),
                name="rating_method_known",
            ),
            models.CheckConstraint(
                condition=Q(method="fixed", ssa__isnull=False, ssa__gt=0)
                | (~Q(method="fixed") & Q(ssa__isnull=True)),
                name="rating_fixed_has_average",
                violation_error_message="A fixed average needs its throws, and no other method has one.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pool}: {self.method}"


class JoinDecision(Decided):
    """Which rounds of a layout share one average; an empty list parts them again."""

    layout = models.ForeignKey(Layout, on_delete=models.CASCADE, related_name="rating_joins")
    rounds = models.JSONField(default=list, help_text="Numbers of the rounds")
    test = models.TextField(blank=True, help_text="What the test of their difference said then")

    def __str__(self) -> str:
        return f"{self.layout}: {self.rounds}"


class SplitDecision(Decided):
    """Starts from which on conditions were others, so that they are rated apart; an empty list joins them again."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="rating_splits")
    layout = models.ForeignKey(Layout, on_delete=models.CASCADE, related_name="rating_splits")
    starts = models.JSONField(default=list, help_text='Local times as "13:00", in order')

    def __str__(self) -> str:
        return f"{self.round}: {self.starts}"


class PlayerDecision(Decided):
    """Whether an average rests on a player's round: left out though the rules would take it, or let in though not
    every hole was played. It can be taken back."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="rated_players")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="rated_rounds_decided")
    counts = models.BooleanField(default=False)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta(Decided.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["round", "entry"],
                condition=Q(taken_back_at__isnull=True),
                name="rating_player_once",
                violation_error_message="It is decided already whether this player counts in this round's average.",
            ),
            models.CheckConstraint(
                condition=Q(reason__gt=""),
                name="rating_player_with_reason",
                violation_error_message="Say why this player counts, or is left out.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id} in {self.round_id}"


class History(models.Model):
    """One list of rated rounds as it was brought in; what the newest list says of a player counts."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="rating_histories")
    name = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class PastRound(models.Model):
    """One round of a player's history; a round without a rating was not finished, or is not rated."""

    history = models.ForeignKey(History, on_delete=models.CASCADE, related_name="rounds")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="past_rounds")
    played_on = models.DateField()
    order = models.PositiveIntegerField(help_text="Place within the list, for rounds of one day")
    rating = models.PositiveSmallIntegerField(null=True, blank=True)
    event_name = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["history", "person", "played_on", "order"]
        constraints = [
            models.UniqueConstraint(fields=["history", "order"], name="past_round_once_in_its_list"),
            models.CheckConstraint(
                condition=Q(rating__isnull=True) | Q(rating__gte=1, rating__lte=1200),
                name="past_round_rating_in_range",
                violation_error_message="A round rating lies between 1 and 1200.",
            ),
        ]
        indexes = [models.Index(fields=["person", "history"], name="past_round_of_person")]

    def __str__(self) -> str:
        return f"{self.person_id} {self.played_on}: {self.rating}"
