"""What comes from the course while a group plays: phones, radio, questions. Rows are added, never rewritten."""

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Round
from scoring.cards.models.cards import Card


class Device(models.Model):
    """A phone of a group, or the desk when it decides on single holes of a card."""

    class Kind(models.TextChoices):
        PHONE = "phone", "phone"
        DESK = "desk", "desk"

    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="devices")
    key = models.UUIDField(help_text="Made by the phone at its first visit")
    kind = models.CharField(max_length=5, choices=Kind, default=Kind.PHONE)
    name = models.CharField(max_length=60, blank=True, help_text="Whose phone it is, as they say")
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["card", "key"], name="device_once_per_card"),
            models.CheckConstraint(condition=Q(kind__in=["phone", "desk"]), name="device_kind_known"),
        ]

    def __str__(self) -> str:
        return self.name or f"{self.kind} {self.pk}"


class HoleEntry(models.Model):
    """One figure that a device said for one player's hole. What a device says later replaces what it said before;
    `over` names entries of other devices that it overrules, because somebody looked at both."""

    device = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="hole_entries")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="hole_entries")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="hole_entries")
    hole = models.CharField(max_length=6, help_text="Label of the hole")
    throws = models.PositiveSmallIntegerField(null=True, help_text="Null: taken away again")
    key = models.UUIDField(unique=True, help_text="Made by the phone: sent twice, it is one entry")
    seq = models.PositiveIntegerField(help_text="Counted by the device: its order of saying")
    over = models.JSONField(default=list, help_text="Keys of entries that this one overrules")
    typed_at = models.DateTimeField(null=True, help_text="By the phone's own clock")
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["round", "entry"], name="hole_entry_of_player")]
        constraints = [
            models.CheckConstraint(condition=Q(throws=None) | Q(throws__gte=1), name="hole_entry_not_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}, hole {self.hole}: {self.throws}"


class RadioCall(models.Model):
    """What was called in of one player: to par after so many holes. Never a hole's score."""

    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="radio_calls")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="radio_calls")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="radio_calls")
    through = models.PositiveSmallIntegerField(help_text="Holes played when it was called")
    to_par = models.SmallIntegerField()
    key = models.UUIDField(help_text="One for all players of the call")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        indexes = [models.Index(fields=["round", "entry"], name="radio_call_of_player")]
        constraints = [
            models.UniqueConstraint(fields=["key", "entry"], name="radio_call_once"),
            models.CheckConstraint(condition=Q(through__gte=1), name="radio_call_after_a_hole"),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}: {self.to_par:+d} after {self.through}"


class GroupMessage(models.Model):
    """A group asks for a ruling or reports a danger. For staff only, until somebody answers it."""

    class Kind(models.TextChoices):
        RULING = "ruling", "asks for a ruling"
        DANGER = "danger", "reports a danger"

    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="messages")
    device = models.ForeignKey(Device, on_delete=models.SET_NULL, null=True, related_name="messages")
    kind = models.CharField(max_length=6, choices=Kind)
    entry = models.ForeignKey(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="group_messages"
    )
    hole = models.CharField(
        max_length=6, blank=True, help_text="Label of the hole; empty: none in particular"
    )
    text = models.CharField(max_length=500)
    key = models.UUIDField(unique=True, help_text="Made by the phone: sent twice, it is one message")
    at = models.DateTimeField()
    answer = models.CharField(max_length=500, blank=True, help_text="Shown to the group")
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["ruling", "danger"]), name="group_message_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"group {self.card.group_number} {self.get_kind_display()}"
