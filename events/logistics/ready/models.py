"""The course made ready: acts that are only added, photos, own work, and the address of the walk."""

from django.db import models
from django.db.models import Q

from events.course.models import Hole
from events.setup.models import Event


class WorkAct(models.Model):
    """Somebody said that a piece of work on a hole is done, or open after all. The newest says how it stands."""

    key = models.UUIDField(unique=True, help_text="Made by the page: sent twice, it is one act")
    hole = models.ForeignKey(Hole, on_delete=models.CASCADE, related_name="work_acts")
    task = models.CharField(max_length=40, help_text="preparing.Task.key")
    words = models.CharField(max_length=240, help_text="As the work was called then")
    done = models.BooleanField()
    said_at = models.DateTimeField(null=True, help_text="The phone's own clock")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.words}: {'done' if self.done else 'open'}"


class OwnWork(models.Model):
    """Work that no description asks for; `hole` None: on every hole."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="own_work")
    hole = models.ForeignKey(Hole, null=True, blank=True, on_delete=models.CASCADE, related_name="own_work")
    words = models.CharField(max_length=120)
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(words__gt=""),
                name="own_work_says_what",
                violation_error_message="Say what is to be done.",
            )
        ]

    def __str__(self) -> str:
        return self.words


class HolePhoto(models.Model):
    """A picture of a hole, for staff; re-encoded, so that no place or device is kept in it."""

    key = models.UUIDField(unique=True, help_text="Made by the page: sent twice, it is one photo")
    hole = models.ForeignKey(Hole, on_delete=models.CASCADE, related_name="photos")
    image = models.BinaryField(help_text="JPEG")
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"photo of {self.hole}"


class WalkLink(models.Model):
    """How often the address of the walk was withdrawn; without a row: never."""

    event = models.OneToOneField(Event, on_delete=models.CASCADE, related_name="walk_link")
    number = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"walk {self.number}"
