"""What the weather desk shows: the figures in the event's units, lightning, the day as rows and as a strip chart."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from events.safety.air import HOURLY
from events.safety.computed import CAUTIONS
from events.safety.heat import APPROXIMATE, SHADE
from events.safety.lightning import Counted, LightningSet, Strike, judged, lightning_set
from events.safety.models import Evidence, Reading
from events.safety.pasted import NAMES
from events.safety.shown import TITLES, big_words, distance_words, in_units, limit_value, unit_of
from events.safety.standing import Figure, Input, age_words, series_of
from events.safety.strip_chart import Chart, Mark, Row, Window, draw
from events.safety.triggers import KINDS, limit_set, set_keys
from events.safety.weather import DayRows, Standing, as_latest, as_seen, day_rows, standing_of
from events.setup.models import Event
from events.setup.sunlight import daylight

EXAMPLES = {
    "m": "32 C, 60 %, wind 5 m/s",
    "ft": "90 F, 60 %, wind 11 mph",
}
STRIKE_EXAMPLES = {"m": "14 km", "ft": "9 mi"}
KIND_WORDS = {
    "heat": "heat index",
    "wbgt": "WBGT",
    "cold": "wind chill",
    "wind": "wind",
    "air": "air quality",
    "uv": "UV index",
    "lightning": "lightning",
}

CAVEATS = frozenset({APPROXIMATE, SHADE, HOURLY})  # these stand beside the figure, not behind its formula


@dataclass(frozen=True, slots=True)
class FigureShown:
    """A figure as the page says it. `big` is "" where the formula is not defined, and `reason` says why."""

    title: str
    big: str
    unit: str
    met: bool
    sentence: str
    formula: str
    inputs: tuple[str, ...]
    age: str
    old: bool
    source: str
    remarks: tuple[str, ...]
    caveat: str
    reason: str


@dataclass(frozen=True, slots=True)
class ReadingShown:
    row: Reading
    words: str


@dataclass(frozen=True, slots=True)
class Taken:
    """Readings that came in together: of one moment, from one source, written down at once."""

    at: datetime
    source: str
    by: str
    readings: tuple[ReadingShown, ...]

    @property
    def standing(self) -> tuple[ReadingShown, ...]:
        return tuple(each for each in self.readings if each.row.taken_back_at is None)


@dataclass(frozen=True, slots=True)
class EvidenceShown:
    """`counts` in words: what the chosen set makes of it."""

    row: Evidence
    what: str
    counts: bool
    why: str


@dataclass(frozen=True, slots=True)
class Choice:
    """One kind of weather with the published sets to choose from."""

    kind: str
    words: str
    sets: tuple[tuple[str, str, str], ...]  # key, title, source
    chosen: str


def weather_context(event: Event, now: datetime) -> dict[str, Any]:
    """All of the page but its forms: 10 queries, whatever was read."""
    standing = standing_of(event, now)
    day = day_rows(event, now, standing.book)
    return _standing(event, standing) | {
        "taken": taken_together(day.readings),
        "evidence": [_evidence(row, standing.rules.lightning, event.units) for row in day.evidence],
        "chart": chart_of(event, standing, day),
        "choices": choices_of(standing),
        "example": EXAMPLES[event.units],
        "strike_example": STRIKE_EXAMPLES[event.units],
    }


def standing_context(event: Event, now: datetime) -> dict[str, Any]:
    """How things stand, by itself (5 queries)."""
    return _standing(event, standing_of(event, now))


def _standing(event: Event, standing: Standing) -> dict[str, Any]:
    figures = [shown(figure, event.units) for figure in standing.figures]
    return {
        "standing": standing,
        "figures": [figure for figure in figures if figure.big],
        "not_defined": [figure for figure in figures if not figure.big],
        "sun": daylight(event, [standing.now.date()]),
        "old_minutes": int(standing.rules.old.total_seconds() // 60),
        "cautions": CAUTIONS,
    }


def shown(figure: Figure, units: str) -> FigureShown:
    big, unit = big_words(figure, units)
    return FigureShown(
        title=_title(figure),
        big=big,
        unit=unit,
        met=figure.trigger.met,
        sentence=figure.trigger.sentence,
        formula=figure.computed.formula,
        inputs=tuple(_input_words(each) for each in figure.inputs),
        age=f"{'oldest reading' if len(figure.inputs) > 1 else 'reading'} {age_words(figure.minutes)} old",
        old=figure.old,
        source=figure.computed.source,
        remarks=tuple(each for each in figure.computed.remarks if each not in CAVEATS),
        caveat=next((each for each in figure.computed.remarks if each in CAVEATS), ""),
        reason=figure.computed.reason,
    )


def _title(figure: Figure) -> str:
    if figure.kind != "wbgt":
        return TITLES[figure.kind]
    return "WBGT, measured" if figure.computed.measured else "WBGT, approximated"


def taken_together(rows: Iterable[Reading]) -> list[Taken]:
    """Rows in their order, those of one line of readings side by side."""
    groups: dict[tuple[datetime, datetime, str, str], list[ReadingShown]] = {}
    for row in rows:
        key = (row.read_at, row.at, row.source, row.by)
        groups.setdefault(key, []).append(ReadingShown(row, f"{NAMES[row.quantity]} {row.typed}"))
    return [Taken(key[0], key[2], key[3], tuple(reversed(found))) for key, found in groups.items()]


def _input_words(each: Input) -> str:
    reading = each.reading
    return f"{NAMES[reading.quantity]} {reading.typed} ({reading.source}, {age_words(each.minutes)} old)"


def _evidence(row: Evidence, limits: LightningSet, units: str) -> EvidenceShown:
    counted: Counted = judged(as_seen(row), limits)
    return EvidenceShown(row, evidence_shown(row, units), counted.counts, counted.why)


def evidence_shown(row: Evidence, units: str) -> str:
    """`strike at 9.0 mi`, `thunder, 20 s`, `thunder, not counted`."""
    if row.kind == Evidence.Kind.STRIKE:
        return f"strike at {distance_words(row.distance_m or 0, units)}"
    return "thunder, not counted" if row.seconds is None else f"thunder, {row.seconds} s"


def choices_of(standing: Standing) -> list[Choice]:
    """Every kind with its published sets and the one that is gone by (no query)."""
    book, chosen = standing.book, standing.rules.chosen
    found = []
    for kind in KINDS:
        sets = [limit_set(book, kind, key) for key in set_keys(book, kind)]
        rows = tuple((each.key, each.title, each.source) for each in sets)
        found.append(Choice(kind, KIND_WORDS[kind], rows, limit_set(book, kind, chosen.get(kind, "")).key))
    bolts = [lightning_set(book, key) for key in set_keys(book, "lightning")]
    rows = tuple((each.key, each.title, each.source) for each in bolts)
    return [Choice("lightning", KIND_WORDS["lightning"], rows, standing.rules.lightning.key), *found]


def chart_of(event: Event, standing: Standing, day: DayRows) -> Chart | None:
    """The strip chart of the venue's day (no query)."""
    book, chosen, units = standing.book, standing.rules.chosen, event.units
    taken = [as_latest(row) for row in day.readings if row.taken_back_at is None]
    rows = []
    for kind, points in series_of(taken, standing.rules).items():
        limits = limit_set(book, _set_kind(kind), chosen.get(_set_kind(kind), ""))
        rows.append(
            Row(
                TITLES[kind],
                unit_of(kind, units),
                tuple((event.local(at), in_units(kind, value, units)) for at, value in points),
                tuple((in_units(kind, limit_value(step, limits), units), step.word) for step in limits.steps),
                limits.downward,
            )
        )
    rows.sort(key=lambda row: list(TITLES.values()).index(row.title))
    windows = [Window(f"round {each.round_number}", each.start, each.end) for each in day.windows]
    marks = [_mark(event, row) for row in day.evidence if row.taken_back_at is None]
    return draw(rows, windows, marks, now=standing.now)


def _set_kind(kind: str) -> str:
    return "wind" if kind == "gust" else kind


def _mark(event: Event, row: Evidence) -> Mark:
    at = event.local(row.seen_at)
    letter = "S" if isinstance(as_seen(row), Strike) else "T"
    return Mark(letter, at, f"{evidence_shown(row, event.units)} at {at:%H:%M}")
