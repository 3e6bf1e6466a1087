"""The emergency plan of an event, and who stands where."""

from django.db import models
from django.db.models import Q

from events.course.models import LayoutHole
from events.setup.models import Event


class EmergencyPlan(models.Model):
    """One plan for the venue. `events/safety/emergency_fields.py` reads and checks the facts: they are printed
    together and never searched one by one."""

    event = models.OneToOneField(Event, on_delete=models.CASCADE, related_name="emergency_plan")
    facts = models.JSONField(default=dict, help_text="Field key → text; emergency_fields.FIELDS")
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField()
    changed_by = models.CharField(max_length=150)

    def __str__(self) -> str:
        return f"emergency plan of {self.event}"


class Assignment(models.Model):
    """A marshal, spotter or helper at a hole or in a zone."""

    class Duty(models.TextChoices):
        MARSHAL = "marshal", "marshal"
        SPOTTER = "spotter", "spotter"
        WEATHER = "weather", "weather watcher"
        FIRST_AID = "first_aid", "first aid"
        STEWARD = "steward", "path or road steward"
        PARKING = "parking", "spectators and parking"
        OTHER = "other", "other"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="assignments")
    duty = models.CharField(max_length=9, choices=Duty)
    layout_hole = models.ForeignKey(
        LayoutHole, null=True, blank=True, on_delete=models.SET_NULL, related_name="assignments"
    )
    place = models.CharField(max_length=80, help_text="Hole or zone in words; stays when the layout changes")
    name = models.CharField(max_length=80)
    channel = models.CharField(max_length=40, blank=True, help_text="Telephone or radio channel")
    shift = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    duty__in=["marshal", "spotter", "weather", "first_aid", "steward", "parking", "other"]
                ),
                name="assignment_duty_known",
            ),
            models.CheckConstraint(
                condition=Q(name__gt="") & Q(place__gt=""), name="assignment_says_who_and_where"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.get_duty_display()} at {self.place}"
