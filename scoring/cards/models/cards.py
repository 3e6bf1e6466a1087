"""Score cards as versions: nothing that somebody wrote down is ever overwritten."""

from django.db import models
from django.db.models import F, Q

from events.draw.models import Sheet
from events.entries.models import Entry
from events.setup.models import Round


class Card(models.Model):
    """One group's card of one round. The group's number holds through later versions of the tee sheet."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="cards")
    group_number = models.PositiveSmallIntegerField()
    finished_at = models.DateTimeField(
        null=True, blank=True, help_text="Last putt of the group: the clock starts"
    )
    returned_at = models.DateTimeField(null=True, blank=True, help_text="The card is in")
    return_noted = models.BooleanField(
        default=False,
        help_text="The card came in at that time; else it was in by then, and nobody noted when",
    )
    opened_by = models.CharField(max_length=150, blank=True, help_text="Who has it open for typing")
    opened_at = models.DateTimeField(null=True, blank=True)
    latest = models.PositiveIntegerField(default=0, help_text="Number of the newest version")
    link_number = models.PositiveSmallIntegerField(
        default=0, help_text="Counts the addresses of the group's page that were withdrawn"
    )
    verified_at = models.DateTimeField(null=True, blank=True, help_text="From then on the card is locked")
    verified_by = models.CharField(max_length=150, blank=True)
    verified_why = models.CharField(max_length=200, blank=True, help_text="What it rests on")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "group_number"], name="card_once_per_group"),
        ]

    def __str__(self) -> str:
        return f"card of group {self.group_number}"

    @property
    def locked(self) -> bool:
        return self.verified_at is not None


class CardVersion(models.Model):
    class Source(models.TextChoices):
        PAPER = "paper", "paper card"
        SECOND = "second", "second entry"
        DESK = "desk", "desk"
        DEVICE = "device", "phone"
        IMPORT = "import", "imported list"
        COMPARED = "compared", "comparison"
        VERIFIED = "verified", "verification"

    class State(models.TextChoices):
        CURRENT = "current", "current"
        SUPERSEDED = "superseded", "superseded"
        DIFFERS = "differs", "differs, to be decided"
        REJECTED = "rejected", "not taken"
        AGREES = "agrees", "says the same"

    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    base = models.PositiveIntegerField(help_text="Version that the writer had in front of them; 0: none")
    state = models.CharField(max_length=10, choices=State)
    source = models.CharField(max_length=8, choices=Source)
    submission = models.UUIDField(
        unique=True, help_text="Made by the page: the same card sent twice is one version"
    )
    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="card_versions")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    reason = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["card", "number"], name="card_version_once"),
            models.UniqueConstraint(
                fields=["card"], condition=Q(state="current"), name="card_one_current_version"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["current", "superseded", "differs", "rejected", "agrees"]),
                name="card_version_state_known",
            ),
            models.CheckConstraint(
                condition=Q(
                    source__in=["paper", "second", "desk", "device", "import", "compared", "verified"]
                ),
                name="card_version_source_known",
            ),
        ]

    def __str__(self) -> str:
        return f"version {self.number} of {self.card_id}"


class CardLine(models.Model):
    """One player's line on one version. `throws` has one item per hole of the layout, in layout order."""

    version = models.ForeignKey(CardVersion, on_delete=models.CASCADE, related_name="lines")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="card_lines")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="card_lines")
    order = models.PositiveSmallIntegerField()
    throws = models.JSONField(help_text="Throws per hole, penalty throws included; null: not written")
    penalties = models.JSONField(default=list, help_text="Penalty throws per hole, as far as written")
    additional = models.PositiveSmallIntegerField(default=0, help_text="Penalty throws on the round total")
    additional_reason = models.CharField(max_length=200, blank=True)
    written_total = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Total as the player wrote it"
    )
    played = models.PositiveSmallIntegerField()
    total = models.PositiveSmallIntegerField(null=True, help_text="Throws as written; null: nothing written")
    complete = models.BooleanField(default=False)
    current = models.BooleanField(
        default=False, help_text="Of what was typed, the line that stands for this player"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["version", "entry"], name="line_once_per_version"),
            models.UniqueConstraint(
                fields=["round", "entry"], condition=Q(current=True), name="line_one_current_per_round"
            ),
            models.CheckConstraint(
                condition=Q(total__isnull=True) | Q(total__gte=F("played")),
                name="line_total_at_least_holes",
                violation_error_message="Every hole takes at least one throw.",
            ),
            models.CheckConstraint(
                condition=Q(total__isnull=True, played=0) | Q(total__isnull=False),
                name="line_missing_is_not_zero",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}: {self.total}"
