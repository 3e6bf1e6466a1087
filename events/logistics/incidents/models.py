"""What happened to people and property. Written once, never changed: what is learned later is added below."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from events.setup.models import Event


class AppendOnly(Exception):
    """Somebody tried to change or delete what was written about an incident."""


class _WrittenOnce(models.Model):
    class Meta:
        abstract = True

    def save(self, *args: Any, **options: Any) -> None:
        if not self._state.adding:
            raise AppendOnly("What was written stays: add what is known now.")
        super().save(*args, **options)

    def delete(self, *args: Any, **options: Any) -> tuple[int, dict[str, int]]:
        raise AppendOnly("What was written stays: add what is known now.")


class Incident(_WrittenOnce):
    class Kind(models.TextChoices):
        INJURY = "injury", "injury or illness"
        DAMAGE = "damage", "damage"
        COMPLAINT = "complaint", "complaint"
        RULING = "ruling", "ruling asked and given"
        CONDUCT = "conduct", "misconduct"
        OTHER = "other", "other"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="incidents")
    number = models.PositiveSmallIntegerField(help_text="1, 2, 3 … within the event")
    kind = models.CharField(max_length=9, choices=Kind)
    happened_at = models.DateTimeField()
    place = models.CharField(max_length=80, help_text="Hole or place")
    round_number = models.PositiveSmallIntegerField(null=True, blank=True)
    who = models.CharField(max_length=300, blank=True, help_text="Whom it concerns")
    what = models.TextField(help_text="What was seen, in the words of whoever saw it")
    witnesses = models.CharField(max_length=300, blank=True)
    done = models.TextField(blank=True, help_text="What was done")
    done_by = models.CharField(max_length=120, blank=True)
    written_at = models.DateTimeField()
    written_by = models.CharField(max_length=150)
    writer = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "number"], name="incident_number_once"),
            models.CheckConstraint(
                condition=Q(kind__in=["injury", "damage", "complaint", "ruling", "conduct", "other"]),
                name="incident_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(what__gt="") & Q(place__gt=""),
                name="incident_says_what_and_where",
                violation_error_message="Say what happened and where.",
            ),
        ]

    def __str__(self) -> str:
        return f"incident {self.number}"


class Addition(_WrittenOnce):
    """What was learned or done later, or what was written wrongly above and how it was."""

    incident = models.ForeignKey(Incident, on_delete=models.CASCADE, related_name="additions")
    text = models.TextField()
    written_at = models.DateTimeField()
    written_by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(text__gt=""),
                name="addition_says_something",
                violation_error_message="Write what is added.",
            )
        ]

    def __str__(self) -> str:
        return f"addition to {self.incident_id}"
