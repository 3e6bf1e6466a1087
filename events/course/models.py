"""The course: its tees and targets, the holes between them, and the layouts that string holes together."""

from django.db import models
from django.db.models import Q

from events.course.hazard_starts import SEVERE
from events.setup.models import Division, Event, Round


class Tee(models.Model):
    """A place to start from. Two groups can never start on one tee at once, whatever their layouts call it."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="tees")
    name = models.CharField(max_length=40)
    walk_minutes = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Walk from tournament central, minutes"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"], name="tee_name_once", violation_error_message="This tee exists."
            )
        ]

    def __str__(self) -> str:
        return self.name


class Target(models.Model):
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="targets")
    name = models.CharField(max_length=40)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"],
                name="target_name_once",
                violation_error_message="This target exists.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Hole(models.Model):
    """A physical hole: from one tee to one target."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="holes")
    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="holes")
    target = models.ForeignKey(Target, on_delete=models.PROTECT, related_name="holes")
    length_m = models.PositiveSmallIntegerField("length in metres", null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["tee", "target"], name="hole_once", violation_error_message="This hole exists."
            ),
            models.CheckConstraint(
                condition=Q(length_m__isnull=True) | Q(length_m__range=(10, 600)),
                name="hole_length_plausible",
                violation_error_message="A hole is 10 to 600 m long.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tee} → {self.target}"


class Layout(models.Model):
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="layouts")
    name = models.CharField(max_length=40)
    version = models.PositiveIntegerField(default=1, editable=False)
    locked_at = models.DateTimeField(
        null=True,
        editable=False,
        help_text="When a tee sheet on it was first published: later changes need a reason",
    )
    two_metre = models.BooleanField(
        "two-metre rule on the whole course",
        default=False,
        help_text="Off unless declared (Official Rules 805.02); a hole may differ",
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"],
                name="layout_name_once",
                violation_error_message="A layout of this name exists.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class LayoutHole(models.Model):
    """The n-th hole of a layout, with the label that its sign and its card show."""

    layout = models.ForeignKey(Layout, on_delete=models.CASCADE, related_name="layout_holes")
    position = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=6)
    hole = models.ForeignKey(Hole, on_delete=models.PROTECT, related_name="uses")
    par = models.PositiveSmallIntegerField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["layout", "position"], name="layout_position_once"),
            models.UniqueConstraint(
                fields=["layout", "label"],
                name="layout_label_once",
                violation_error_message="This hole label stands twice.",
            ),
            models.CheckConstraint(condition=Q(position__range=(1, 60)), name="layout_position_in_range"),
            models.CheckConstraint(condition=Q(label__gt=""), name="layout_label_given"),
            models.CheckConstraint(
                condition=Q(par__range=(2, 9)),
                name="layout_par_in_range",
                violation_error_message="Par is 2 to 9.",
            ),
        ]

    def __str__(self) -> str:
        return self.label


class LayoutUse(models.Model):
    """Which layout a division plays in a round."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="layout_uses")
    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="layout_uses")
    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="uses")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["round", "division"], name="layout_once_per_division")]

    def __str__(self) -> str:
        return f"{self.division} plays {self.layout} in {self.round}"


class HoleDetails(models.Model):
    """The description and the sketch of a hole in a layout. `events/course/hole_details.py` says why it is JSON."""

    layout_hole = models.OneToOneField(LayoutHole, on_delete=models.CASCADE, related_name="described")
    facts = models.JSONField(default=dict, help_text="hole_details.HoleDetails.as_json")
    sketch = models.JSONField(default=list, help_text="sketch.as_json")
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField()
    changed_by = models.CharField(max_length=150)

    def __str__(self) -> str:
        return f"hole {self.layout_hole}"


class LayoutVersion(models.Model):
    """A layout in play as it stood: made when a tee sheet is published and at each change after that, never changed."""

    layout = models.ForeignKey(Layout, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField(help_text="Layout.version at that time")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    reason = models.CharField(max_length=200, blank=True)
    touched = models.JSONField(default=list, help_text="Whom the change touched, sentence by sentence")
    snapshot = models.JSONField(help_text="versions.snapshot_of")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["layout", "number"], name="layout_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.layout}, version {self.number}"


class HazardNote(models.Model):
    """A danger of the course. Changed with a trace in the log; withdrawn, never wiped."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="hazard_notes")
    whole_course = models.BooleanField(default=False)
    layout_holes = models.ManyToManyField(LayoutHole, related_name="hazard_notes", blank=True)
    what = models.CharField(max_length=120)
    where = models.CharField(max_length=160, blank=True)
    risk_player = models.BooleanField("players", default=False)
    risk_spectator = models.BooleanField("spectators", default=False)
    risk_public = models.BooleanField("the public", default=False)
    effect = models.CharField(max_length=13, blank=True)
    control = models.CharField(max_length=160, blank=True)
    severity = models.CharField(max_length=7)
    valid_from = models.DateTimeField(null=True, blank=True)
    valid_to = models.DateTimeField(null=True, blank=True)
    on_card = models.BooleanField("score card", default=False)
    on_tee_sign = models.BooleanField("tee sign", default=True)
    at_meeting = models.BooleanField("players’ meeting", default=True)
    on_board = models.BooleanField("board", default=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    written_at = models.DateTimeField()
    written_by = models.CharField(max_length=150)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=150, blank=True)
    withdrawn_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(what__gt=""), name="hazard_named", violation_error_message="Say what it is."
            ),
            models.CheckConstraint(
                condition=Q(severity__in=["minor", "serious", "life"]),
                name="hazard_severity_known",
                violation_error_message="Say how severe it is.",
            ),
            models.CheckConstraint(
                condition=Q(
                    effect__in=["", "out_of_bounds", "hazard", "relief", "casual", "drop_zone"],
                ),
                name="hazard_effect_known",
                violation_error_message="Choose an effect in the rules.",
            ),
            models.CheckConstraint(
                condition=Q(risk_player=True) | Q(risk_spectator=True) | Q(risk_public=True),
                name="hazard_for_somebody",
                violation_error_message="Say who is at risk.",
            ),
            models.CheckConstraint(
                condition=Q(valid_from__isnull=True)
                | Q(valid_to__isnull=True)
                | Q(valid_to__gt=models.F("valid_from")),
                name="hazard_ends_after_it_begins",
                violation_error_message="It ends before it begins.",
            ),
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def severe(self) -> str:
        """How grave it is, as it heads the note on paper and on phones: "Danger to life"."""
        return SEVERE[self.severity]
