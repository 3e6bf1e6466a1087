"""Approved models as dated lists, and discs as single pieces: many a bag holds several pieces of one model."""

from uuid import uuid4

from django.db import models
from django.db.models import Q

from players.approved_reading import model_key
from players.models.people import Person


class ApprovedList(models.Model):
    """One import of the governing body's list. Never changed: a newer list is another row."""

    as_of = models.DateField(help_text="The day that the list was taken from its publisher")
    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    rows = models.PositiveIntegerField()
    invented = models.BooleanField(default=False, help_text="Made for trying things out")
    warnings = models.JSONField(
        default=list, help_text="[row, column, value, problem, mend] of what was left out"
    )
    imported_at = models.DateTimeField()
    imported_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["-as_of", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(rows__gt=0), name="approved_list_not_empty"),
        ]

    def __str__(self) -> str:
        return f"list of {self.as_of:%-d %B %Y}"


class ApprovedModel(models.Model):
    """One row of a list, as published. A blank figure is not known: neither zero nor a pass."""

    list = models.ForeignKey(ApprovedList, on_delete=models.CASCADE, related_name="models")
    maker = models.CharField(max_length=100)
    name = models.CharField(max_length=100)
    key = models.CharField(
        max_length=210, editable=False, help_text="Maker and name, folded: what is looked up"
    )
    max_mass_g = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    diameter_cm = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    height_cm = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    rim_depth_cm = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    inside_diameter_cm = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    rim_width_cm = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    depth_to_diameter_percent = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    rim_configuration = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    flexibility_kg = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    disc_class = models.CharField(max_length=40, blank=True)
    max_mass_vintage_g = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    last_year = models.PositiveSmallIntegerField(null=True, help_text="Last year of production")
    certification = models.CharField(max_length=20, blank=True, help_text="Text: it is no unique number")
    approved_on = models.DateField(null=True)

    class Meta:
        ordering = ["key"]
        constraints = [
            models.UniqueConstraint(fields=["list", "key"], name="approved_model_once_per_list"),
            models.CheckConstraint(
                condition=Q(max_mass_g__isnull=True) | Q(max_mass_g__gt=0), name="approved_mass_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class Disc(models.Model):
    """One piece that a player owns. Its box is every piece that is not put away."""

    class Wear(models.TextChoices):
        NEW = "new", "new"
        FIRST = "first", "first wear"
        HALF = "half", "half worn"
        WORN = "worn", "worn"
        UNKNOWN = "unknown", "not said"

    class RoleInBag(models.TextChoices):
        PUTTING = "putting", "putting putter"
        THROWING = "throwing", "throwing putter"
        APPROACH = "approach", "approach"
        MIDRANGE = "midrange", "midrange"
        FAIRWAY = "fairway", "fairway driver"
        DISTANCE = "distance", "distance driver"
        UTILITY = "utility", "utility"
        UNKNOWN = "unknown", "not said"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="discs")
    key = models.UUIDField(unique=True, default=uuid4, help_text="Made by the page that first wrote it down")
    number = models.PositiveSmallIntegerField(help_text="1, 2, 3 … within the box: for speech and paper")
    maker = models.CharField(max_length=100, blank=True)
    model = models.CharField(max_length=100)
    model_key = models.CharField(max_length=210, editable=False)
    plastic = models.CharField(max_length=40, blank=True)
    colour = models.CharField(max_length=40, blank=True)
    stamped_mass_g = models.DecimalField(
        "stamped mass", max_digits=4, decimal_places=1, null=True, blank=True, help_text="As stamped: a claim"
    )
    mark = models.CharField("owner's mark", max_length=60, blank=True, help_text="What is written on it")
    marked = models.BooleanField(null=True, blank=True, help_text="Bears the owner's mark; empty: not said")
    signed = models.BooleanField(default=False, help_text="Bears signatures, as a keepsake does")
    wear = models.CharField(max_length=8, choices=Wear, default=Wear.UNKNOWN)
    role = models.CharField(max_length=10, choices=RoleInBag, default=RoleInBag.UNKNOWN)
    note = models.CharField(max_length=200, blank=True)
    put_away_at = models.DateTimeField(null=True, blank=True, help_text="No longer in the box")

    class Meta:
        ordering = ["person", "number"]
        constraints = [
            models.UniqueConstraint(fields=["person", "number"], name="disc_number_once_per_box"),
            models.CheckConstraint(
                condition=Q(model__gt=""),
                name="disc_has_a_model",
                violation_error_message="Write the model of the disc.",
            ),
            models.CheckConstraint(
                condition=Q(stamped_mass_g__isnull=True) | Q(stamped_mass_g__range=(50, 250)),
                name="disc_stamped_mass_plausible",
                violation_error_message="A stamped mass lies between 50 and 250 g.",
            ),
            models.CheckConstraint(
                condition=Q(wear__in=["new", "first", "half", "worn", "unknown"]), name="disc_wear_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    role__in=[
                        "putting",
                        "throwing",
                        "approach",
                        "midrange",
                        "fairway",
                        "distance",
                        "utility",
                        "unknown",
                    ]
                ),
                name="disc_role_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.model}"

    def save(self, *args: object, **kwargs: object) -> None:
        self.model_key = model_key(self.maker, self.model)
        fields = kwargs.get("update_fields")
        if fields is not None:
            kwargs["update_fields"] = {*fields, "model_key"}  # type: ignore[misc]
        super().save(*args, **kwargs)  # type: ignore[arg-type]
