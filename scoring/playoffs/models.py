"""Playoffs as they were played: what was agreed once, the holes as versions that nobody overwrites."""

from django.db import models
from django.db.models import Q

from events.course.models import Layout
from events.setup.models import Division
from scoring.playoffs.contest import MOST_AGGREGATE_HOLES


class Playoff(models.Model):
    """Players of a division who are tied for first place, or at a cut for the places that are left.

    `players` are entry ids in the tee order of the first hole, which follows from `seed`; `holes` the labels played in
    turn, again from the first when they are through; `aggregate`: so many of them are added up first, 0 for sudden
    death. `after_round` is 0 for first place. Throws stand here only, never in a round (Competition Manual, 1.09.B).
    """

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="playoffs")
    after_round = models.PositiveSmallIntegerField(default=0)
    places = models.PositiveSmallIntegerField(default=1)
    players = models.JSONField()
    seed = models.CharField(max_length=64)
    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    holes = models.JSONField()
    aggregate = models.PositiveSmallIntegerField(default=0)
    begun_at = models.DateTimeField()
    begun_by = models.CharField(max_length=150)
    dropped_at = models.DateTimeField(null=True, blank=True)
    dropped_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["division", "after_round"],
                condition=Q(dropped_at__isnull=True),
                name="playoff_one_at_a_time",
                violation_error_message="This tie has a playoff already.",
            ),
            models.CheckConstraint(condition=Q(places__gte=1), name="playoff_places"),
            models.CheckConstraint(
                condition=Q(after_round__gt=0) | Q(places=1),
                name="playoff_one_first_place",
                violation_error_message="There is one first place.",
            ),
            models.CheckConstraint(
                condition=Q(aggregate__range=(0, MOST_AGGREGATE_HOLES)),
                name="playoff_aggregate_at_most_six",
                violation_error_message="An aggregate playoff has at most 6 holes.",
            ),
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True) | ~Q(dropped_reason=""),
                name="playoff_dropped_with_reason",
            ),
        ]

    def __str__(self) -> str:
        what = f"cut after round {self.after_round}" if self.after_round else "first place"
        return f"playoff of {self.division} for {what}"


class PlayoffVersion(models.Model):
    """The holes as they stood from one moment on: the highest number counts.

    `figures` holds a mapping of entry id (as text) to throws for each hole; `declined` entry id to the number of
    holes after which the player left.
    """

    playoff = models.ForeignKey(Playoff, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveSmallIntegerField()
    figures = models.JSONField(default=list)
    declined = models.JSONField(default=dict)
    what = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["playoff", "number"], name="playoff_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.playoff}, version {self.number}"
