"""Reading the weather of an event: the newest readings, the day's, lightning, and which limits are gone by."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import OuterRef, Subquery

from events.draw.windows import PlayWindow, play_windows
from events.rulebook.loader import Rulebook
from events.safety.lightning import Evidence as Seen
from events.safety.lightning import Strike, Thunder
from events.safety.models import Evidence, Reading, Suspension, ThresholdSet
from events.safety.standing import (
    Asked,
    Figure,
    Latest,
    LightningNow,
    WeatherRules,
    figures_of,
    lightning_now,
    means_for_event,
    speaks_of_stopping,
    weather_rules,
)
from events.setup.models import Event
from events.setup.queries import rulebook_for

EVIDENCE_HOURS = 24


@dataclass(frozen=True, slots=True)
class Standing:
    """What every page needs to say about the weather of now. `now` in the zone of the event."""

    now: datetime
    book: Rulebook
    rules: WeatherRules
    newest: tuple[Latest, ...]
    figures: tuple[Figure, ...]
    lightning: LightningNow
    means: Asked
    suspended_at: datetime | None

    @property
    def met(self) -> bool:
        return bool(self.lightning.active) or any(figure.trigger.met for figure in self.figures)

    @property
    def urgent(self) -> bool:
        """A limit that is met speaks of stopping play, be it to consider."""
        return bool(self.lightning.active) or any(speaks_of_stopping(figure) for figure in self.figures)

    @property
    def shown(self) -> tuple[Figure, ...]:
        return tuple(figure for figure in self.figures if figure.defined)


def standing_of(event: Event, now: datetime, book: Rulebook | None = None) -> Standing:
    """Figures, limits and lightning of now (4 queries, 5 without a rulebook in hand)."""
    book = book or rulebook_for(event)
    local = event.local(now)
    rules = weather_rules(book, chosen_sets(event))
    newest = newest_readings(event)
    figures = figures_of(newest, rules, local)
    lightning = lightning_now(evidence_since(event, now - timedelta(hours=EVIDENCE_HOURS)), rules, local)
    stopped = Suspension.objects.filter(event=event, ended_at__isnull=True).order_by("pk")
    since = stopped.values_list("signalled_at", flat=True).first()
    means = means_for_event(figures, lightning, local, suspended=since is not None)
    return Standing(local, book, rules, newest, figures, lightning, means, since)


def chosen_sets(event: Event) -> dict[str, str]:
    """Kind → name of the set that was chosen last (1 query)."""
    rows = ThresholdSet.objects.filter(event=event).order_by("pk")
    return dict(rows.values_list("kind", "chosen"))


def newest_readings(event: Event) -> tuple[Latest, ...]:
    """The newest of each quantity that was not taken back (1 query)."""
    of_its_kind = Reading.objects.filter(
        event=event, quantity=OuterRef("quantity"), taken_back_at__isnull=True
    ).order_by("-read_at", "-pk")
    found = Reading.objects.filter(event=event, pk=Subquery(of_its_kind.values("pk")[:1]))
    return tuple(as_latest(row) for row in found.order_by("quantity"))


def as_latest(row: Reading) -> Latest:
    return Latest(row.quantity, row.value, row.typed, row.source, row.read_at)


def evidence_since(event: Event, moment: datetime) -> list[Seen]:
    """Strikes and thunder from a moment on, without what was taken back, in their order (1 query)."""
    rows = Evidence.objects.filter(event=event, seen_at__gte=moment, taken_back_at__isnull=True)
    return [as_seen(row) for row in rows.order_by("seen_at", "pk")]


def as_seen(row: Evidence) -> Seen:
    if row.kind == Evidence.Kind.STRIKE:
        return Strike(row.seen_at, float(row.distance_m or 0), row.source)
    seconds = None if row.seconds is None else float(row.seconds)
    return Thunder(row.seen_at, seconds, row.source)


@dataclass(frozen=True, slots=True)
class DayRows:
    """The venue's calendar day: readings and evidence with what was taken back, the newest first."""

    readings: list[Reading]
    evidence: list[Evidence]
    windows: list[PlayWindow]


def day_rows(event: Event, now: datetime, book: Rulebook) -> DayRows:
    """6 queries."""
    local = event.local(now)
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0)
    readings = Reading.objects.filter(event=event, read_at__gte=midnight)
    evidence = Evidence.objects.filter(event=event, seen_at__gte=midnight)
    windows = [each for each in play_windows(event, book) if each.start.date() == local.date()]
    return DayRows(
        list(readings.order_by("-read_at", "-pk")), list(evidence.order_by("-seen_at", "-pk")), windows
    )
