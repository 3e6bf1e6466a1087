"""An event as it is planned: its place, its divisions, its rounds, its money rules, its staff."""

from collections.abc import Mapping
from datetime import date, datetime, time
from zoneinfo import ZoneInfo, available_timezones

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q

FIRST_YEAR, LAST_YEAR = 2000, 2100  # anything else is a slip of the keys


class Tier(models.TextChoices):
    MAJOR = "major", "major"
    ELITE = "elite", "elite series"
    A = "A", "A-tier"
    B = "B", "B-tier"
    C = "C", "C-tier"
    LEAGUE = "league", "league"


class Region(models.TextChoices):
    NORTH_AMERICA = "north_america", "United States and Canada"
    ELSEWHERE = "elsewhere", "elsewhere"


class Units(models.TextChoices):
    METRES = "m", "metres"
    FEET = "ft", "feet"


class Paper(models.TextChoices):
    A4 = "A4", "A4"
    LETTER = "Letter", "Letter"


class StartType(models.TextChoices):
    SHOTGUN = "shotgun", "shotgun"
    TEE_TIMES = "tee_times", "tee times"


class CardsPrinted(models.TextChoices):
    REGION = "region", "as the manual asks in this region"
    GROUP = "group", "one for each group"
    TWO = "two", "two for each group"
    PLAYER = "player", "one for each player"


class Event(models.Model):
    slug = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    starts_on = models.DateField("first day")
    ends_on = models.DateField("last day")
    tier = models.CharField(max_length=8, choices=Tier, default=Tier.C)
    region = models.CharField(max_length=16, choices=Region, default=Region.NORTH_AMERICA)
    venue = models.CharField(max_length=120, blank=True)
    place = models.CharField(max_length=120, blank=True)
    latitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    longitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    time_zone = models.CharField(max_length=60, default="UTC")
    units = models.CharField(max_length=2, choices=Units, default=Units.METRES)
    paper = models.CharField(max_length=6, choices=Paper, default=Paper.A4)
    currency = models.CharField(max_length=3, default="USD")
    cap = models.PositiveIntegerField("cap of the event", null=True, blank=True)
    cap_pro = models.PositiveIntegerField("cap of the professionals", null=True, blank=True)
    cap_am = models.PositiveIntegerField("cap of the amateurs", null=True, blank=True)
    registration_opens_at = models.DateTimeField(null=True, blank=True)
    registration_closes_at = models.DateTimeField(
        null=True, blank=True, help_text="Published closing of registration and of waitlist promotion"
    )
    checkin_opens_at = models.DateTimeField(null=True, blank=True)
    checkin_closes_at = models.DateTimeField(null=True, blank=True)
    handling_fee_cents = models.PositiveIntegerField(default=0, help_text="Kept from a full refund")
    cards = models.CharField(
        "score cards on paper", max_length=6, choices=CardsPrinted, default=CardsPrinted.REGION
    )
    avoid_repeats = models.BooleanField(default=False, help_text="Try not to give the same company again")
    days_off = models.JSONField(
        default=list, blank=True, help_text="ISO dates: holidays, over which business days pass"
    )
    show_town = models.BooleanField(default=True, help_text="Town on the board")
    is_demo = models.BooleanField(default=False, editable=False)
    over_at = models.DateTimeField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_on__gte=F("starts_on")),
                name="event_ends_after_start",
                violation_error_message="The last day is before the first.",
            ),
            models.CheckConstraint(condition=Q(tier__in=Tier.values), name="event_tier_known"),
            models.CheckConstraint(condition=Q(region__in=Region.values), name="event_region_known"),
            models.CheckConstraint(condition=Q(units__in=Units.values), name="event_units_known"),
            models.CheckConstraint(condition=Q(paper__in=Paper.values), name="event_paper_known"),
            models.CheckConstraint(condition=Q(cards__in=CardsPrinted.values), name="event_cards_known"),
            models.CheckConstraint(
                condition=Q(latitude__isnull=True) | Q(latitude__range=(-90, 90)),
                name="event_latitude_on_earth",
                violation_error_message="A latitude lies between -90 and 90.",
            ),
            models.CheckConstraint(
                condition=Q(longitude__isnull=True) | Q(longitude__range=(-180, 180)),
                name="event_longitude_on_earth",
                violation_error_message="A longitude lies between -180 and 180.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        problems = _odd_years({"starts_on": self.starts_on, "ends_on": self.ends_on})
        if self.time_zone not in available_timezones():
            problems["time_zone"] = f"{self.time_zone} is not a time zone; an example: Europe/Oslo."
        if problems:
            raise ValidationError(problems)

    @property
    def holidays(self) -> frozenset[date]:
        return frozenset(date.fromisoformat(day) for day in self.days_off)

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    def local(self, moment: datetime) -> datetime:
        return moment.astimezone(self.zone)

    def at(self, day: date, clock: time) -> datetime:
        """The moment of a wall-clock time at the venue."""
        return datetime.combine(day, clock, tzinfo=self.zone)


def _odd_years(days: Mapping[str, date | None]) -> dict[str, str]:
    """What is wrong with the years of these days, by field. A day that could not be read is none yet."""
    words = f"Write a year from {FIRST_YEAR} to {LAST_YEAR}."
    return {
        name: words
        for name, day in days.items()
        if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR
    }


class Division(models.Model):
    """A division that the event offers, by its published code."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="divisions")
    code = models.CharField(max_length=6)
    order = models.PositiveSmallIntegerField(default=0)
    fee_cents = models.PositiveIntegerField("entry fee", default=0)
    cap = models.PositiveIntegerField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "code"],
                name="division_once_per_event",
                violation_error_message="This division is offered already.",
            ),
            models.CheckConstraint(condition=Q(code__gt=""), name="division_has_code"),
        ]

    def __str__(self) -> str:
        return self.code


class Round(models.Model):
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="rounds")
    number = models.PositiveSmallIntegerField()
    date = models.DateField()
    start_type = models.CharField(max_length=10, choices=StartType, default=StartType.SHOTGUN)
    first_start = models.TimeField(default=time(9, 0))
    interval_minutes = models.PositiveSmallIntegerField(default=10)
    night_or_snow = models.BooleanField(
        default=False,
        editable=False,
        help_text="Announced as night or snow play: discs may carry lights or tape",
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "number"],
                name="round_number_once",
                violation_error_message="This round number is taken.",
            ),
            models.CheckConstraint(
                condition=Q(number__range=(1, 20)),
                name="round_number_in_range",
                violation_error_message="Rounds are numbered 1 to 20.",
            ),
            models.CheckConstraint(
                condition=Q(interval_minutes__range=(1, 60)),
                name="round_interval_in_range",
                violation_error_message="An interval is 1 to 60 minutes.",
            ),
            models.CheckConstraint(
                condition=Q(start_type__in=StartType.values), name="round_start_type_known"
            ),
        ]

    def __str__(self) -> str:
        return f"round {self.number}"

    def clean(self) -> None:
        if problems := _odd_years({"date": self.date}):
            raise ValidationError(problems)

    @property
    def first_start_at(self) -> datetime:
        return self.event.at(self.date, self.first_start)


class AddOn(models.Model):
    """Something sold with the entry, or passed through it to somebody else."""

    class Kind(models.TextChoices):
        EXTRA = "extra", "extra (side game, meal, pack)"
        PLAYER_FEE = "player_fee", "per-player fee"
        GREENS = "greens", "greens fee"
        SERIES = "series", "series fee"
        RESTROOM = "restroom", "restroom cost"
        TD_FEE = "td_fee", "TD fee"
        MEMBERSHIP = "membership", "temporary membership fee"

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="addons")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=12, choices=Kind, default=Kind.EXTRA)
    fee_cents = models.PositiveIntegerField(default=0)
    included = models.BooleanField(
        default=False, help_text="Part of every entry fee (passed through), not charged on top"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "name"],
                name="addon_name_once",
                violation_error_message="An add-on of this name exists.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    DIRECTOR = "director", "director"
    DESK = "desk", "desk"
    CARD_ROOM = "card_room", "card room"
    EQUIPMENT = "equipment", "equipment"
    MARSHAL = "marshal", "marshal"
    VIEWER = "viewer", "viewer"


class Staff(models.Model):
    """The role of one account at one event. The installation's director (superuser) directs every event."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="staff")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="staff_roles")
    role = models.CharField(max_length=10, choices=Role)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "user"],
                name="staff_one_role_per_event",
                violation_error_message="This account has a role at this event.",
            ),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="staff_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.user}: {self.get_role_display()}"


class RuleOverride(models.Model):
    """A value of the rulebook that the director set otherwise for this event, and why."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="rule_overrides")
    key = models.CharField(max_length=100)
    value = models.JSONField()
    reason = models.TextField()
    by = models.CharField(max_length=150)
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "key"], name="override_once_per_key"),
            models.CheckConstraint(
                condition=Q(reason__gt=""),
                name="override_has_reason",
                violation_error_message="Say why.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} = {self.value}"
