"""What was seen on a piece, what was asked about it, and which list the event goes by."""

from django.db import models
from django.db.models import F, Q

from events.entries.models import Entry
from events.setup.models import Event, Round
from players.models import ApprovedList, Disc


class ListInUse(models.Model):
    """Which list the event goes by; the newest row counts. Without a row: the newest list there is."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="lists_in_use")
    list = models.ForeignKey(ApprovedList, on_delete=models.PROTECT, related_name="uses")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    def __str__(self) -> str:
        return f"{self.event_id} goes by {self.list_id}"


class ModelDecision(models.Model):
    """The director's word on a model that is not on the list; the newest row of a model counts."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="model_decisions")
    list = models.ForeignKey(ApprovedList, null=True, on_delete=models.PROTECT, related_name="decisions")
    maker = models.CharField(max_length=100, blank=True)
    model = models.CharField(max_length=100)
    model_key = models.CharField(max_length=210)
    allowed = models.BooleanField()
    reason = models.TextField()
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(reason__gt=""), name="model_decision_has_reason")]

    def __str__(self) -> str:
        return f"{self.model}: {'allowed' if self.allowed else 'not allowed'}"


class Examination(models.Model):
    """A piece looked at by hand and eye; null: not looked at. The newest row of a piece counts."""

    disc = models.ForeignKey(Disc, on_delete=models.PROTECT, related_name="examinations")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="examinations")
    round = models.ForeignKey(Round, null=True, on_delete=models.CASCADE, related_name="examinations")
    marked = models.BooleanField(null=True, help_text="Bears a mark that names its thrower")
    cracked = models.BooleanField(null=True)
    holed = models.BooleanField(null=True)
    carved = models.BooleanField(null=True, help_text="Etched, carved or engraved")
    added_material = models.BooleanField(null=True, help_text="Paint or anything of a thickness to feel")
    over_sanded = models.BooleanField(null=True)
    out_of_shape = models.BooleanField(null=True, help_text="Not a circular saucer any more")
    lights_or_tape = models.BooleanField(null=True)
    note = models.CharField(max_length=200, blank=True)
    submission = models.UUIDField(unique=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.disc_id} looked at by {self.by}"


class Question(models.Model):
    """A piece questioned by a player or an official: illegal until the director approves it."""

    disc = models.ForeignKey(Disc, on_delete=models.PROTECT, related_name="questions")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="disc_questions")
    round = models.ForeignKey(Round, null=True, on_delete=models.CASCADE, related_name="disc_questions")
    asked_by = models.CharField(max_length=150, help_text="Who questioned it")
    reason = models.TextField()
    at = models.DateTimeField()
    by = models.CharField(max_length=150, help_text="Who wrote it down")
    approved = models.BooleanField(null=True, help_text="Empty: not decided yet")
    decided_at = models.DateTimeField(null=True)
    decided_by = models.CharField(max_length=150, blank=True)
    decision = models.TextField(blank=True, help_text="The director's reason")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["disc", "entry"], condition=Q(approved__isnull=True), name="question_open_once"
            ),
            models.CheckConstraint(
                condition=Q(approved__isnull=True, decided_at__isnull=True)
                | Q(approved__isnull=False, decided_at__gte=F("at"), decision__gt=""),
                name="question_decided_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"question about {self.disc_id}"
