"""The course: its tees and targets, the holes between them, and the layouts that string holes together."""

from django.db import models
from django.db.models import Q

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
