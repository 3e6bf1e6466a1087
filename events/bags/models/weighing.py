"""Scales and what they showed. A weighing is never changed: a second one is another row."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from events.entries.models import Entry
from events.setup.models import Event, Round
from players.models import ApprovedList, ApprovedModel, Disc


class Scale(models.Model):
    class Kind(models.TextChoices):
        HOUSEHOLD = "household", "household scale"
        CLASS_III = "class_iii", "verified, class III"
        CLASS_II = "class_ii", "verified, class II"
        CHECKED = "checked", "held to a reference mass"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="scales")
    name = models.CharField(max_length=40)
    kind = models.CharField(max_length=10, choices=Kind)
    resolution_g = models.DecimalField("shows steps of", max_digits=4, decimal_places=2)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"],
                name="scale_name_once",
                violation_error_message="A scale of this name is registered.",
            ),
            models.CheckConstraint(
                condition=Q(resolution_g__gt=0, resolution_g__lte=5),
                name="scale_resolution_plausible",
                violation_error_message="A scale shows steps of 0.01 to 5 g.",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["household", "class_iii", "class_ii", "checked"]),
                name="scale_kind_known",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def step(self) -> Decimal:
        """The step without zeros at its end: 1, 0.1, 0.05."""
        return plain(self.resolution_g)


class ScaleCheck(models.Model):
    """A scale held against a reference mass, before a session."""

    scale = models.ForeignKey(Scale, on_delete=models.CASCADE, related_name="checks")
    reference_g = models.DecimalField("reference mass", max_digits=5, decimal_places=2)
    reading_g = models.DecimalField("reading", max_digits=5, decimal_places=2)
    tolerance_g = models.DecimalField(max_digits=4, decimal_places=2)
    passed = models.BooleanField()
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    def __str__(self) -> str:
        return f"{self.scale_id}: {self.reading_g} for {self.reference_g}"

    @property
    def words(self) -> str:
        """ "200 g showed 200.1 g"."""
        return f"{plain(self.reference_g)} g showed {plain(self.reading_g)} g"


class Weighing(models.Model):
    """One reading and what followed from it, with all that it rests on."""

    class Zone(models.TextChoices):
        ACCEPT = "accept", "accept"
        NOT_PROVEN = "not_proven", "not proven"
        REJECT = "reject", "reject"
        NOT_KNOWN = "not_known", "no limit known"

    disc = models.ForeignKey(Disc, on_delete=models.PROTECT, related_name="weighings")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="weighings")
    round = models.ForeignKey(Round, null=True, on_delete=models.CASCADE, related_name="weighings")
    scale = models.ForeignKey(Scale, on_delete=models.PROTECT, related_name="weighings")
    check_used = models.ForeignKey(
        ScaleCheck,
        null=True,
        on_delete=models.PROTECT,
        related_name="weighings",
        help_text="Empty: none valid",
    )
    reading_g = models.DecimalField(max_digits=5, decimal_places=2)
    list = models.ForeignKey(ApprovedList, null=True, on_delete=models.PROTECT, related_name="weighings")
    listed = models.ForeignKey(ApprovedModel, null=True, on_delete=models.PROTECT, related_name="weighings")
    limit_g = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    formula_limit_g = models.DecimalField(max_digits=5, decimal_places=1, null=True)
    uncertainty_g = models.DecimalField(max_digits=6, decimal_places=4, help_text="Standard uncertainty")
    guard_g = models.DecimalField(max_digits=6, decimal_places=4)
    zone = models.CharField(max_length=10, choices=Zone)
    probability = models.DecimalField(
        max_digits=5, decimal_places=4, null=True, help_text="That the piece is within its limit"
    )
    submission = models.UUIDField(unique=True, help_text="The same reading sent twice is one weighing")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reading_g__range=(20, 400)),
                name="weighing_reading_plausible",
                violation_error_message="A reading lies between 20 and 400 g.",
            ),
            models.CheckConstraint(
                condition=Q(zone__in=["accept", "not_proven", "reject", "not_known"]),
                name="weighing_zone_known",
            ),
            models.CheckConstraint(
                condition=Q(limit_g__isnull=False) | Q(zone="not_known", probability__isnull=True),
                name="weighing_without_limit_decides_nothing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.disc_id}: {self.reading_g} g"

    @property
    def shown_g(self) -> Decimal:
        """The reading with the digits that its scale shows."""
        return self.reading_g.quantize(plain(self.scale.resolution_g))

    @property
    def edges_g(self) -> tuple[Decimal | None, Decimal | None]:
        """Accepted up to, rejected from: limit − and + guard band in grams; None without a limit."""
        if self.limit_g is None:
            return None, None
        return self.limit_g - self.guard_g, self.limit_g + self.guard_g

    @property
    def probability_words(self) -> str:
        """Two digits; what is only nearly certain is not shown as certain."""
        if self.probability is None:
            return "–"
        if self.probability > Decimal("0.99"):
            return "over 0.99"
        return "under 0.01" if self.probability < Decimal("0.01") else f"{self.probability:.2f}"


def plain(value: Decimal) -> Decimal:
    """The same number without zeros at its end, and never written with an exponent."""
    short = value.normalize()
    return short if short.as_tuple().exponent <= 0 else short.quantize(Decimal(1))  # type: ignore[operator]
