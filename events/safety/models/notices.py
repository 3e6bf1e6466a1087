"""Notices that the board and the phones show."""

from django.db import models
from django.db.models import Q

from events.safety.models.suspensions import Suspension
from events.setup.models import Event


class Notice(models.Model):
    """A short text for everybody. Never changed once posted: withdrawn, and a new one posted."""

    class Kind(models.TextChoices):
        NEWS = "news", "notice"
        HAZARD = "hazard", "hazard"
        DELAY = "delay", "delay"
        SUSPENSION = "suspended", "play suspended"
        RESUMPTION = "resumed", "play resumes"
        CANCELLED = "cancelled", "cancellation"
        COURSE = "course", "course change"
        WEATHER = "weather", "heat, cold or air"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="notices")
    kind = models.CharField(max_length=9, choices=Kind, default=Kind.NEWS)
    title = models.CharField(max_length=60)
    text = models.CharField(max_length=300, blank=True)
    in_other_words = models.JSONField(
        default=dict, help_text="Language tag → title and text in that language"
    )
    valid_from = models.DateTimeField(null=True, blank=True, help_text="Empty: from posting")
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    suspension = models.ForeignKey(
        Suspension, null=True, blank=True, on_delete=models.SET_NULL, related_name="notices"
    )
    posted_at = models.DateTimeField()
    posted_by = models.CharField(max_length=150)
    until = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "news",
                        "hazard",
                        "delay",
                        "suspended",
                        "resumed",
                        "cancelled",
                        "course",
                        "weather",
                    ]
                ),
                name="notice_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(title__gt=""), name="notice_has_title", violation_error_message="Write a title."
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def tells_of_stop(self) -> bool:
        """Said already, and larger, where the stop itself is shown."""
        return self.kind == self.Kind.SUSPENSION and self.suspension_id is not None
