"""Weather as somebody read it, and lightning as somebody saw or heard it. A mistake is taken back, never wiped."""

from django.db import models
from django.db.models import Q

from events.setup.models import Event


class Reading(models.Model):
    """One figure of one moment. Inside: Celsius, percent, m/s, µg/m³; the unit that was typed is kept beside it."""

    class Quantity(models.TextChoices):
        TEMPERATURE = "temperature", "temperature"
        HUMIDITY = "humidity", "relative humidity"
        WIND = "wind", "wind"
        GUST = "gust", "gust"
        WBGT = "wbgt", "measured WBGT"
        PM25 = "pm25", "PM2.5"
        UV = "uv", "UV index"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="readings")
    quantity = models.CharField(max_length=11, choices=Quantity)
    value = models.DecimalField(max_digits=7, decimal_places=2)
    typed = models.CharField(max_length=40, help_text="As it was typed, with its unit")
    source = models.CharField(max_length=120, help_text="Instrument or service")
    read_at = models.DateTimeField(help_text="When it was true")
    at = models.DateTimeField(help_text="When it was written down")
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__in=["temperature", "humidity", "wind", "gust", "wbgt", "pm25", "uv"]),
                name="reading_quantity_known",
            ),
            models.CheckConstraint(
                condition=~Q(quantity="humidity") | Q(value__range=(0, 100)),
                name="reading_humidity_in_percent",
                violation_error_message="Humidity lies between 0 and 100 %.",
            ),
        ]
        indexes = [models.Index(fields=["event", "quantity", "read_at"], name="reading_newest")]

    def __str__(self) -> str:
        return f"{self.quantity} {self.typed}"


class Evidence(models.Model):
    """Lightning: a strike that a service places, or thunder that somebody hears. Two kinds, never one number."""

    class Kind(models.TextChoices):
        STRIKE = "strike", "strike, distance from a service"
        THUNDER = "thunder", "thunder heard"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="lightning")
    kind = models.CharField(max_length=7, choices=Kind)
    distance_m = models.PositiveIntegerField(null=True, blank=True, help_text="Strikes only")
    seconds = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Thunder: seconds from flash to bang; empty: heard, not counted"
    )
    source = models.CharField(max_length=120)
    seen_at = models.DateTimeField()
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.CharField(max_length=150, blank=True)
    taken_back_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="strike", distance_m__isnull=False, seconds__isnull=True)
                | Q(kind="thunder", distance_m__isnull=True),
                name="evidence_of_one_kind",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} at {self.seen_at:%H:%M}"


class ThresholdSet(models.Model):
    """Which published set of limits the event goes by for one kind of weather; the newest row counts."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="threshold_sets")
    kind = models.CharField(max_length=20, help_text="heat, wbgt, cold, air, lightning …")
    chosen = models.CharField(max_length=60, help_text="Key of the set in the rulebook")
    at = models.DateTimeField()
    by = models.CharField(max_length=150)

    def __str__(self) -> str:
        return f"{self.kind}: {self.chosen}"
