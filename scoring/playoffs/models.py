"""Playoffs as they were played: what was agreed once, the holes as versions that nobody overwrites, what was called in
them; and contests for the trophies of tied places."""

from django.db import models
from django.db.models import Q

from events.course.models import Layout
from events.entries.models import Entry
from events.setup.models import Division
from scoring.playoffs.contest import MOST_AGGREGATE_HOLES


class Playoff(models.Model):
    """Players of a division who are tied for first place, at a cut for the places that are left, or for a trophy.

    `players` are entry ids in the tee order of the first hole, which follows from `seed`; `holes` the labels played in
    turn, again from the first when they are through; `aggregate`: so many of them are added up first, 0 for sudden
    death. `after_round` is 0 after the last round. `trophy` is the place whose trophy is played for, 0 where it is not
    for a trophy: the tie then stands as it is (Competition Manual, 1.09.E). Throws stand here only, never in a round
    (1.09.B).
    """

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="playoffs")
    after_round = models.PositiveSmallIntegerField(default=0)
    trophy = models.PositiveSmallIntegerField(default=0)
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
                fields=["division", "after_round", "trophy"],
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
                condition=Q(trophy=0) | Q(trophy__gte=2, after_round=0),
                name="playoff_trophy_after_the_last_round",
                violation_error_message="A trophy is played for after the last round, from place 2 down.",
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
        return f"playoff of {self.division} for {self.what}"

    @property
    def what(self) -> str:
        """ "first place", "the cut after round 2", "the trophy of place 3"."""
        if self.trophy:
            return f"the trophy of place {self.trophy}"
        return f"the cut after round {self.after_round}" if self.after_round else "first place"


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


class PlayoffCall(models.Model):
    """A breach in a playoff of a rule that warns first. Warnings of the rounds do not count in it, nor these outside
    of it (Official Rules 2025, 801.02.C). Never wiped: it can be taken back.

    `throws` is 0 for a warning; throws are part of the figure that is written for the hole. `hole` counts the holes of
    the playoff from 1.
    """

    playoff = models.ForeignKey(Playoff, on_delete=models.CASCADE, related_name="calls")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="playoff_calls")
    rule = models.CharField(max_length=100, help_text="Key of the rule in the rulebook")
    hole = models.PositiveSmallIntegerField()
    throws = models.PositiveSmallIntegerField(default=0)
    what = models.CharField(max_length=200, blank=True, help_text="What was seen")
    caller = models.CharField(max_length=120)
    submission = models.UUIDField(unique=True, help_text="Made by the page: sent twice it is one call")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(hole__gte=1) & ~Q(rule="") & ~Q(caller=""),
                name="playoff_call_says_what_where_and_who",
                violation_error_message="A call names its rule, the hole and who made it.",
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True, taken_back_reason="")
                | (Q(taken_back_at__isnull=False) & ~Q(taken_back_reason="")),
                name="playoff_call_taken_back_with_a_reason",
                violation_error_message="A call is taken back with a reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"call on {self.entry_id} in playoff {self.playoff_id}"


class TrophyContest(models.Model):
    """The trophy of a tied place, decided by another contest than a playoff: the tie itself stands (Competition Manual
    2025, 1.09.E). Never wiped: it can be taken back."""

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="trophy_contests")
    trophy = models.PositiveSmallIntegerField()
    winner = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="trophies_won")
    what = models.CharField(max_length=200, help_text="What they did, as: three putts from 10 m")
    result = models.CharField(max_length=200, blank=True, help_text="Who did how well")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["division", "trophy"],
                condition=Q(taken_back_at__isnull=True),
                name="trophy_contest_once",
                violation_error_message="This trophy is decided already.",
            ),
            models.CheckConstraint(
                condition=Q(trophy__gte=2) & ~Q(what=""),
                name="trophy_contest_says_what",
                violation_error_message="A contest is for the trophy of place 2 or below, and says what it was.",
            ),
        ]

    def __str__(self) -> str:
        return f"contest of {self.division} for the trophy of place {self.trophy}"
