"""The draw: pools of a round, tee sheets as versions, groups, and who sits in which group."""

from datetime import datetime, timedelta

from django.db import models
from django.db.models import F, Q

from events.course.models import Layout, LayoutHole
from events.entries.models import Entry
from events.setup.models import Division, Event, Round, StartType

LONGEST_DELAY = 12 * 60  # minutes


class Pool(models.Model):
    """Part of a round's field that starts together. A division named by several pools is split over them."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="pools")
    label = models.CharField(max_length=4)
    divisions = models.ManyToManyField(Division, related_name="pools")
    start_type = models.CharField(max_length=10, choices=StartType)
    first_start_at = models.DateTimeField()
    interval_minutes = models.PositiveSmallIntegerField(default=10)
    gap_after = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Starter's gap after every n groups"
    )
    gap_minutes = models.PositiveSmallIntegerField(default=0)
    start_labels = models.CharField(
        max_length=100, blank=True, help_text="Holes to start from with tee times, as 1, 10; empty: the first"
    )
    groups_of = models.PositiveSmallIntegerField("players in a group", default=4)
    second_groups = models.BooleanField(
        default=False, help_text="Emergency only: a second group may stand on a hole"
    )
    retired = models.BooleanField(
        default=False,
        editable=False,
        help_text="Another took its place in the plan; kept for the frozen sheets that were drawn with it",
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "label"],
                condition=Q(retired=False),
                name="pool_label_once",
                violation_error_message="This pool exists already.",
            ),
            models.CheckConstraint(
                condition=Q(start_type__in=StartType.values), name="pool_start_type_known"
            ),
            models.CheckConstraint(
                condition=Q(interval_minutes__range=(1, 60)),
                name="pool_interval_in_range",
                violation_error_message="An interval is 1 to 60 minutes.",
            ),
            models.CheckConstraint(
                condition=Q(groups_of__range=(3, 5)),
                name="pool_group_size_in_range",
                violation_error_message="Groups are of 3, 4 or 5.",
            ),
        ]

    def __str__(self) -> str:
        return f"pool {self.label}"


class Sheet(models.Model):
    """One version of a round's tee sheet. A published version is frozen; a change is a new version."""

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        PUBLISHED = "published", "published"
        SUPERSEDED = "superseded", "superseded"

    class Method(models.TextChoices):
        RANDOM = "random", "random within the division"
        RATING = "rating", "by rating, dealt across the starting holes"
        SCORE = "score", "by total within the division"
        RANDOM_ALL = "random_all", "random across all divisions"
        SCORE_ALL = "score_all", "by total across all divisions"

        @property
        def by_score(self) -> bool:
            """Whether it rests on the totals of earlier rounds."""
            return self in {Sheet.Method.SCORE, Sheet.Method.SCORE_ALL}

        @property
        def across(self) -> bool:
            """Whether it has no regard to divisions (Competition Manual 2025, 6.03.E)."""
            return self in {Sheet.Method.RANDOM_ALL, Sheet.Method.SCORE_ALL}

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="sheets")
    version = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    method = models.CharField(max_length=10, choices=Method)
    seed = models.CharField(max_length=40)
    notes = models.JSONField(default=list, help_text="How the groups came about, sentence by sentence")
    inputs = models.JSONField(
        default=dict, help_text="Whom the draw was made of and what it rested on, so that it can be repeated"
    )
    accepted = models.JSONField(default=dict, help_text="Breach key → reason it was kept for")
    undo = models.JSONField(default=list, help_text="Earlier seatings of the draft, newest last")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.CharField(max_length=150, blank=True)
    reason = models.TextField(blank=True, help_text="Why a published sheet was changed")
    revision = models.PositiveIntegerField(default=1, help_text="Counts the edits of a draft")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "version"], name="sheet_version_once"),
            models.UniqueConstraint(
                fields=["round"], condition=Q(state="draft"), name="sheet_one_draft_per_round"
            ),
            models.UniqueConstraint(
                fields=["round"], condition=Q(state="published"), name="sheet_one_published_per_round"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["draft", "published", "superseded"]), name="sheet_state_known"
            ),
            models.CheckConstraint(
                condition=Q(method__in=["random", "rating", "score", "random_all", "score_all"]),
                name="sheet_method_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.round}, version {self.version}"

    @property
    def way(self) -> Method:
        """The method as what it means; a row read from the database has its text."""
        return Sheet.Method(self.method)


class Group(models.Model):
    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="groups")
    number = models.PositiveSmallIntegerField()
    pool = models.ForeignKey(Pool, on_delete=models.PROTECT, related_name="groups")
    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="groups")
    start = models.ForeignKey(LayoutHole, on_delete=models.PROTECT, related_name="groups")
    starts_at = models.DateTimeField()
    second = models.BooleanField(default=False, help_text="Second group on the hole; tees off second")
    how = models.CharField(max_length=300, blank=True, help_text="How this group came about, in words")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["sheet", "number"], name="group_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="group_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"group {self.number}"


class Moved(models.Model):
    """A round's starts as they were before a delay moved them, so that everybody can be told what they were."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="moves")
    was = models.JSONField(help_text="Every start as it was: moments in UTC, in order")
    reason = models.CharField(max_length=300)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reason__gt=""), name="move_has_reason", violation_error_message="Say why."
            )
        ]

    def __str__(self) -> str:
        return f"{self.round}: {self.reason}"


class Delay(models.Model):
    """A delay that was typed: what was to come after `since` on that day comes later."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="delays")
    since = models.DateTimeField(help_text="What was set for this moment, or for later, moves")
    minutes = models.PositiveSmallIntegerField()
    reason = models.CharField(max_length=120)
    checkin_opened_at = models.DateTimeField(null=True, blank=True, help_text="Where it moved: as it was")
    checkin_closed_at = models.DateTimeField(null=True, blank=True, help_text="Where it moved: as it was")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__range=(1, LONGEST_DELAY)),
                name="delay_minutes",
                violation_error_message="A delay is 1 minute to 12 hours.",
            ),
            models.CheckConstraint(
                condition=Q(reason__gt=""), name="delay_has_reason", violation_error_message="Say why."
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True) | Q(taken_back_at__gte=F("at")),
                name="delay_taken_back_after",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} minutes from {self.since:%H:%M}"

    @property
    def until(self) -> datetime:
        """When what was set for `since` comes."""
        return self.since + timedelta(minutes=self.minutes)


class Seat(models.Model):
    """One player in one group, in card order, which is the order of throwing on the first tee."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="seats")
    group = models.ForeignKey(Group, on_delete=models.CASCADE, related_name="seats")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="seats")
    order = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "entry"],
                name="seat_once_per_sheet",
                violation_error_message="A player cannot be in two groups of one round.",
            ),
            models.UniqueConstraint(fields=["group", "order"], name="seat_order_once"),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id} in {self.group_id}"
