"""What becomes of a duty, the director's own tasks, and the addresses where a calendar reads it all."""

import secrets

from django.db import models
from django.db.models import Q

from events.setup.models import Event


def new_code() -> str:
    return secrets.token_urlsafe(12)


class DutyMark(models.Model):
    """What somebody said of a duty or an own task, by its key; no row: open, and whose it is by the rulebook."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        DONE = "done", "done"
        NOT_NEEDED = "not_needed", "not needed"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="duty_marks")
    key = models.CharField(max_length=60)
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    reason = models.CharField(max_length=200, blank=True)
    owner = models.CharField(max_length=60, blank=True, help_text="Empty: as the rulebook or the task says")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "key"], name="duty_marked_once"),
            models.CheckConstraint(
                condition=Q(state__in=["open", "done", "not_needed"]), name="duty_state_known"
            ),
            models.CheckConstraint(
                condition=~Q(state="not_needed") | Q(reason__gt=""),
                name="duty_not_needed_with_reason",
                violation_error_message="Say why it is not needed.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.state}"


class Task(models.Model):
    """Something to be done that no rule asks for. Dropped rows stay, so that they can be taken back."""

    class Start(models.TextChoices):
        FIRST_DAY = "first_day", "days before the first day"
        LAST_DAY = "last_day", "days after the last day"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="tasks")
    number = models.PositiveIntegerField()
    what = models.CharField(max_length=160)
    start = models.CharField(max_length=10, choices=Start, blank=True, help_text="Moves with the event")
    days = models.PositiveSmallIntegerField(null=True, blank=True)
    due_on = models.DateField(
        null=True, blank=True, help_text="A day that stays, whatever becomes of the event"
    )
    owner = models.CharField(max_length=60, blank=True)
    slips = models.CharField(max_length=200, blank=True, help_text="What follows when it slips")
    dropped_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "number"], name="task_number_once"),
            models.CheckConstraint(
                condition=Q(what__gt=""), name="task_says_what", violation_error_message="Say what to do."
            ),
            models.CheckConstraint(
                condition=Q(start__in=["", "first_day", "last_day"]), name="task_start_known"
            ),
            models.CheckConstraint(
                condition=Q(start="", days__isnull=True)
                | Q(days__isnull=False, due_on__isnull=True) & ~Q(start=""),
                name="task_one_date",
                violation_error_message="Give a day, or a number of days before or after the event; not both.",
            ),
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def key(self) -> str:
        return f"own/{self.number}"


class CalendarFeed(models.Model):
    """An address under which a calendar program reads the countdown: all of it, or what one owner has to do."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="calendar_feeds")
    owner = models.CharField(max_length=60, blank=True, help_text="Empty: everybody's")
    code = models.CharField(max_length=24, unique=True, default=new_code, editable=False)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "owner"],
                condition=Q(revoked_at__isnull=True),
                name="calendar_feed_one_per_owner",
            ),
        ]

    def __str__(self) -> str:
        return f"calendar of {self.owner or 'everybody'}"
