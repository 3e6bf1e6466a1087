"""Things that an event takes along: what is needed is computed, what is here is written down."""

from django.db import models
from django.db.models import Q

from events.course.models import Hole
from events.setup.models import Event


class ThingsPlan(models.Model):
    """What the quantities rest on and no other page knows. None: not said."""

    event = models.OneToOneField(Event, on_delete=models.CASCADE, related_name="things_plan")
    players = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Plan for at least so many; the field when it is larger"
    )
    helpers = models.PositiveSmallIntegerField(null=True, blank=True)
    heat_c = models.SmallIntegerField(null=True, blank=True, help_text="Warmest hour, degrees Celsius")

    def __str__(self) -> str:
        return f"things of {self.event}"


class LineLength(models.Model):
    """The string that an out-of-bounds line of a physical hole takes. 0: its edge is plain. No row: not known."""

    hole = models.ForeignKey(Hole, on_delete=models.CASCADE, related_name="line_lengths")
    name = models.CharField(max_length=200, help_text="As the hole's description names the line")
    metres = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["hole", "name"], name="line_length_once")]

    def __str__(self) -> str:
        return f"{self.name}: {self.metres} m"


class Thing(models.Model):
    """A line of the list that somebody touched: an own thing, or a computed one with lots or another number."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="things")
    key = models.CharField(max_length=40, help_text="quantities.Need.key, or own-1, own-2 …")
    name = models.CharField(
        max_length=80, blank=True, help_text="Of an own thing; a computed one has its own"
    )
    unit = models.CharField(max_length=20, blank=True)
    needed = models.PositiveIntegerField(
        null=True, blank=True, help_text="The director's own number, before any computed one"
    )
    dropped_at = models.DateTimeField(
        null=True, blank=True, help_text="An own thing that is not wanted any more"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["event", "key"], name="thing_once_per_event"),
            models.CheckConstraint(
                condition=~Q(key__startswith="own-") | Q(name__gt=""),
                name="own_thing_named",
                violation_error_message="Say what it is.",
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.key


class Lot(models.Model):
    """Some of a thing that came from one place and travels together: got, packed, on site, returned."""

    class Way(models.TextChoices):
        OWNED = "owned", "in stock"
        BOUGHT = "bought", "bought"
        BORROWED = "borrowed", "borrowed"

    thing = models.ForeignKey(Thing, on_delete=models.CASCADE, related_name="lots")
    count = models.PositiveIntegerField()
    way = models.CharField(max_length=8, choices=Way, default=Way.OWNED)
    whose = models.CharField(max_length=80, blank=True, help_text="Of whom it is borrowed")
    back_on = models.DateField(null=True, blank=True)
    box = models.CharField(max_length=20, blank=True)
    packed_at = models.DateTimeField(null=True, blank=True)
    on_site_at = models.DateTimeField(null=True, blank=True)
    returned_at = models.DateTimeField(null=True, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True, help_text="Written by mistake")
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(count__gt=0), name="lot_counts", violation_error_message="Write how many, from 1."
            ),
            models.CheckConstraint(
                condition=Q(way__in=["owned", "bought", "borrowed"]), name="lot_way_known"
            ),
            models.CheckConstraint(
                condition=~Q(way="borrowed") | Q(whose__gt=""),
                name="lot_borrowed_of_somebody",
                violation_error_message="Say of whom it is borrowed.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.thing}"

    @property
    def state(self) -> str:
        if self.returned_at is not None:
            return "returned"
        if self.on_site_at is not None:
            return "on site"
        return "packed" if self.packed_at is not None else "got"
