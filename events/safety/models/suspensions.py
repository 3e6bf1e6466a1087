"""Play stopped: why, since when, where each group stood, what was sounded, how it ended."""

from django.db import models
from django.db.models import F, Q

from events.setup.models import Event, Round


class Suspension(models.Model):
    class Cause(models.TextChoices):
        LIGHTNING = "lightning", "lightning"
        WIND = "wind", "high wind"
        LINES = "lines", "downed power lines"
        FLOOD = "flood", "flooding"
        SLOPES = "slopes", "slippery slopes"
        FIRE = "fire", "fire or smoke"
        HEAT = "heat", "extreme heat"
        COLD = "cold", "extreme cold"
        AIR = "air", "bad air"
        EMERGENCY = "emergency", "medical or other emergency"
        CLOSURE = "closure", "course closed"
        DARKNESS = "darkness", "darkness"
        OTHER = "other", "other"

    class Ended(models.TextChoices):
        RESUMED = "resumed", "play resumed"
        NEXT_DAY = "next_day", "goes on another day"
        CANCELLED = "cancelled", "round not finished"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="suspensions")
    cause = models.CharField(max_length=10, choices=Cause)
    words = models.CharField(max_length=200, blank=True, help_text="What everybody is told")
    where_to_go = models.CharField(max_length=600, blank=True)
    signalled_at = models.DateTimeField(help_text="When the signal was sounded: the clock counts from here")
    by = models.CharField(max_length=150)
    restart_at = models.DateTimeField(
        null=True, blank=True, help_text="The restart that the director has named"
    )
    restart_by = models.CharField(max_length=150, blank=True)
    restart_named_at = models.DateTimeField(null=True, blank=True)
    restart_reason = models.CharField(
        max_length=200, blank=True, help_text="Why it lies before the earliest restart; empty: it does not"
    )
    ended = models.CharField(max_length=9, choices=Ended, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=150, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event"], condition=Q(ended_at__isnull=True), name="suspension_one_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended="")
                | Q(ended_at__gte=F("signalled_at"), ended__in=["resumed", "next_day", "cancelled"]),
                name="suspension_ended_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.cause}, {self.signalled_at:%H:%M}"


class Position(models.Model):
    """Where a group stood when play was stopped; a later row of the same group corrects an earlier one."""

    class Source(models.TextChoices):
        SCORES = "scores", "from live scores"
        HAND = "hand", "by hand"

    suspension = models.ForeignKey(Suspension, on_delete=models.CASCADE, related_name="positions")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="positions")
    group_number = models.PositiveSmallIntegerField()
    hole_label = models.CharField(max_length=6, blank=True, help_text="Empty: not known")
    holes_played = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True, help_text="Lies and whose throw it is")
    source = models.CharField(max_length=6, choices=Source)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"group {self.group_number} on hole {self.hole_label}"


class HornSound(models.Model):
    """A signal that was sounded, as the marshal confirmed it."""

    class Signal(models.TextChoices):
        STOP = "stop", "stop play"
        STOP_AGAIN = "stop_again", "stop play, repeated"
        TWO_MINUTES = "two_minutes", "two minutes"
        RESUME = "resume", "resume play"

    suspension = models.ForeignKey(Suspension, on_delete=models.CASCADE, related_name="horns")
    signal = models.CharField(max_length=11, choices=Signal)
    due_at = models.DateTimeField(null=True)
    sounded_at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(signal__in=["stop", "stop_again", "two_minutes", "resume"]),
                name="horn_signal_known",
            )
        ]

    def __str__(self) -> str:
        return f"{self.signal} at {self.sounded_at:%H:%M:%S}"
