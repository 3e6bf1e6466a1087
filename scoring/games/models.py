"""Side games: their pots, marks, aces, tickets and awards. Their money is never part of a fee or of the purse."""

from django.db import models
from django.db.models import Q

from events.course.models import LayoutHole
from events.entries.models import Entry, Payment
from events.setup.models import AddOn, Event, Round


class Game(models.Model):
    class Kind(models.TextChoices):
        ACE = "ace", "ace pot"
        CLOSEST = "closest", "closest to the pin"
        LONGEST = "longest", "longest drive"
        RAFFLE = "raffle", "raffle"
        OTHER = "other", "other game (putting, skins, …)"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="games")
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=60)
    round = models.ForeignKey(
        Round, on_delete=models.PROTECT, null=True, blank=True, related_name="games", help_text="Null: all"
    )
    layout_hole = models.ForeignKey(
        LayoutHole, on_delete=models.SET_NULL, null=True, blank=True, related_name="games"
    )
    place = models.CharField(max_length=80, blank=True, help_text="The hole in words; stays as it was")
    divisions = models.JSONField(default=list, help_text="Codes of the divisions that play it; none: all")
    addon = models.ForeignKey(
        AddOn, on_delete=models.PROTECT, null=True, blank=True, related_name="games", help_text="Lets in"
    )
    stake_cents = models.PositiveIntegerField(default=0, help_text="A place by hand, or one ticket")
    prize = models.CharField(max_length=120, blank=True, help_text="A thing for each winner")
    winners = models.PositiveSmallIntegerField(default=1, help_text="How many tickets a raffle draws")
    pays_percent = models.PositiveSmallIntegerField(default=100, help_text="Of the pot, once it is won")
    rest_to = models.CharField(max_length=60, default="the next event")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"],
                name="game_name_once",
                violation_error_message="A game of this name exists.",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["ace", "closest", "longest", "raffle", "other"]), name="game_kind_known"
            ),
            models.CheckConstraint(condition=Q(pays_percent__range=(0, 100)), name="game_pays_at_most_all"),
            models.CheckConstraint(condition=Q(winners__range=(1, 100)), name="game_winners_in_range"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def by_distance(self) -> bool:
        return self.kind in {self.Kind.CLOSEST, self.Kind.LONGEST}


class PotLine(models.Model):
    """Money into a pot besides the add-on: undone by a row of the opposite sign."""

    class Kind(models.TextChoices):
        PLACE = "place", "place by hand"
        TICKETS = "tickets", "tickets"
        ROLLED_IN = "rolled_in", "from a former event"
        GIVEN = "given", "given to the pot"

    game = models.ForeignKey(Game, on_delete=models.PROTECT, related_name="pot_lines")
    kind = models.CharField(max_length=9, choices=Kind)
    entry = models.ForeignKey(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="pot_lines"
    )
    name = models.CharField(max_length=120)
    tickets = models.PositiveSmallIntegerField(default=0)
    first_ticket = models.PositiveIntegerField(null=True, blank=True)
    amount_cents = models.IntegerField()
    method = models.CharField(max_length=8, choices=Payment.Method)
    submission = models.UUIDField(
        null=True, unique=True, help_text="Made by the page: sent twice, kept once; null for what undoes"
    )
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["place", "tickets", "rolled_in", "given"]), name="pot_line_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(method__in=["cash", "card", "transfer", "online", "other"]),
                name="pot_line_method_known",
            ),
            models.UniqueConstraint(
                fields=["game", "first_ticket"],
                condition=Q(undoes__isnull=True),
                name="pot_line_ticket_sold_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.amount_cents}"

    @property
    def last_ticket(self) -> int:
        """Number of the last of these tickets; 0 where none are sold."""
        return (self.first_ticket or 1) + self.tickets - 1


class Mark(models.Model):
    """A measured throw of a contest. Put right by taking it back and measuring again."""

    game = models.ForeignKey(Game, on_delete=models.PROTECT, related_name="marks")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="game_marks")
    cm = models.PositiveIntegerField(help_text="Centimetres from the target, or from the tee")
    measured_by = models.CharField(max_length=120)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(cm__lte=60_000), name="mark_within_600_m"),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}: {self.cm} cm"


class Ace(models.Model):
    """The director's word on one hole in one throw: it counts for this pot, or it does not, and why."""

    game = models.ForeignKey(Game, on_delete=models.PROTECT, related_name="aces")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="game_aces")
    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="game_aces")
    hole_label = models.CharField(max_length=6)
    counts = models.BooleanField()
    reason = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["game", "entry", "round", "hole_label"],
                condition=Q(taken_back_at__isnull=True),
                name="ace_decided_once",
            ),
            models.CheckConstraint(
                condition=Q(counts=True) | Q(reason__gt=""),
                name="ace_refused_with_reason",
                violation_error_message="Say why it does not count.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}, hole {self.hole_label}"


class RaffleDraw(models.Model):
    """A raffle from the end of the sale on: first a promise, then words from the hall, then the tickets drawn."""

    game = models.OneToOneField(Game, on_delete=models.PROTECT, related_name="draw")
    tickets = models.JSONField(help_text="Numbers in the drum, as they stood when the sale ended")
    secret = models.CharField(max_length=64)
    commitment = models.CharField(max_length=64)
    closed_at = models.DateTimeField()
    closed_by = models.CharField(max_length=150)
    called_out = models.CharField(max_length=120, blank=True, help_text="Said aloud after the promise")
    drawn = models.JSONField(default=list, help_text="Numbers in the order in which they were drawn")
    drawn_at = models.DateTimeField(null=True, blank=True)
    drawn_by = models.CharField(max_length=150, blank=True)

    def __str__(self) -> str:
        return f"draw of {self.game_id}"


class Award(models.Model):
    """What somebody wins: cents, a thing, or both. Taken back with the settling that made it."""

    game = models.ForeignKey(Game, on_delete=models.PROTECT, related_name="awards")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="awards")
    name = models.CharField(max_length=120)
    amount_cents = models.PositiveIntegerField(default=0)
    thing = models.CharField(max_length=120, blank=True)
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    handed_at = models.DateTimeField(null=True, blank=True)
    handed_by = models.CharField(max_length=150, blank=True)
    method = models.CharField(max_length=8, choices=Payment.Method, blank=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True) | Q(handed_at__isnull=True),
                name="award_not_back_while_handed_out",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.amount_cents}"
