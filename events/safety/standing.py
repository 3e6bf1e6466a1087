"""How things stand: the newest readings into figures, each with its formula, inputs, ages and the limit it meets.

Plain values in and out; `now` is handed in. A reading is never silently used: its age stands beside it, an old one is
said to be old, and one of another day is not used at all.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from events.rulebook.loader import Rulebook
from events.safety.computed import Computed
from events.safety.conditions import Condition, Readings, conditions
from events.safety.lightning import Counted, Evidence, LightningSet, judged, lightning_set
from events.safety.triggers import Trigger
from events.safety.units import speed_unit

_RESTS_ON = {
    "heat": ("temperature", "humidity"),
    "wbgt": ("temperature", "humidity"),
    "cold": ("temperature", "wind"),
    "wind": ("wind",),
    "gust": ("gust",),
    "air": ("pm25",),
    "uv": ("uv",),
}
_FIRST = ("wbgt", "heat", "cold", "wind", "gust", "air", "uv")


@dataclass(frozen=True, slots=True)
class Latest:
    """A reading as the formulas need it: `value` in the slice's own unit, `typed` as it was written."""

    quantity: str
    value: Decimal
    typed: str
    source: str
    at: datetime


@dataclass(frozen=True, slots=True)
class WeatherRules:
    """The rulebook with the sets that the event goes by, and from when a reading is old, or no longer used."""

    book: Rulebook
    chosen: Mapping[str, str]
    lightning: LightningSet
    old: timedelta
    kept: timedelta


@dataclass(frozen=True, slots=True)
class Input:
    reading: Latest
    minutes: int
    old: bool


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of now. `kind`: of KINDS, or "gust"; `minutes`: the age of its oldest reading."""

    kind: str
    computed: Computed
    inputs: tuple[Input, ...]
    trigger: Trigger

    @property
    def minutes(self) -> int:
        return max((each.minutes for each in self.inputs), default=0)

    @property
    def old(self) -> bool:
        return any(each.old for each in self.inputs)

    @property
    def defined(self) -> bool:
        return self.computed.value is not None or self.computed.at_least is not None


@dataclass(frozen=True, slots=True)
class LightningNow:
    """What the chosen set makes of the evidence. `active`: still within its wait; `until`: when the wait is over."""

    counted: tuple[Counted, ...]
    active: tuple[Counted, ...]
    until: datetime | None
    sentence: str


def weather_rules(book: Rulebook, chosen: Mapping[str, str]) -> WeatherRules:
    """`chosen`: kind → name of its set; the first to be offered where the event chose none. Raises UnknownSet."""
    return WeatherRules(
        book=book,
        chosen=chosen,
        lightning=lightning_set(book, chosen.get("lightning", "")),
        old=timedelta(minutes=book.int("practice.weather_reading_minutes")),
        kept=timedelta(hours=book.int("practice.weather_reading_kept_hours")),
    )


def figures_of(newest: Iterable[Latest], rules: WeatherRules, now: datetime) -> tuple[Figure, ...]:
    """Every figure that the readings allow, a measured WBGT first; also those that are not defined here.

    Once a measured WBGT is old the approximation stands beside it: neither hides the other.
    """
    held = {each.quantity: each for each in newest if timedelta(0) <= now - each.at <= rules.kept}
    found = list(conditions(_readings(held), rules.book, rules.chosen))
    measured = held.get("wbgt")
    if measured is not None and now - measured.at >= rules.old:
        without = {name: each for name, each in held.items() if name in {"temperature", "humidity"}}
        fallback = conditions(_readings(without), rules.book, rules.chosen)
        found += [each for each in fallback if each.kind == "wbgt"]
    ordered = sorted(found, key=lambda each: (_FIRST.index(each.kind), not each.computed.measured))
    return tuple(_figure(each, held, rules, now) for each in ordered)


def _readings(held: Mapping[str, Latest]) -> Readings:
    def value(name: str) -> Decimal | None:
        return held[name].value if name in held else None

    def unit(name: str) -> str:
        return speed_unit(held[name].typed) if name in held else "m/s"

    return Readings(
        temperature_c=value("temperature"),
        humidity=value("humidity"),
        wind_ms=value("wind"),
        gust_ms=value("gust"),
        wbgt_c=value("wbgt"),
        pm25=value("pm25"),
        uv=value("uv"),
        wind_unit=unit("wind"),
        gust_unit=unit("gust"),
    )


def _figure(found: Condition, held: Mapping[str, Latest], rules: WeatherRules, now: datetime) -> Figure:
    rests_on = ("wbgt",) if found.computed.measured else _RESTS_ON[found.kind]
    inputs = tuple(_input(held[name], rules, now) for name in rests_on)
    return Figure(found.kind, found.computed, inputs, found.trigger)


def _input(reading: Latest, rules: WeatherRules, now: datetime) -> Input:
    age = now - reading.at
    return Input(reading, int(age.total_seconds() // 60), age >= rules.old)


def lightning_now(evidence: Iterable[Evidence], rules: WeatherRules, now: datetime) -> LightningNow:
    """Judged as before a stop: which evidence is a trigger now, and until when it keeps being one."""
    limits = rules.lightning
    ordered = sorted(evidence, key=lambda each: each.at, reverse=True)
    counted = tuple(judged(each, limits) for each in ordered)
    wait = timedelta(minutes=limits.wait_minutes)
    that_count = [each for each in counted if each.counts]
    active = tuple(each for each in that_count if now - each.evidence.at < wait)
    if active:
        newest = active[0]
        more = f", and {len(active) - 1} more within {limits.wait_minutes} minutes" if active[1:] else ""
        sentence = f"Trigger met: {newest.why}, {_ago(newest, now)} ago{more} ({limits.title}): suspend play."
        return LightningNow(counted, active, newest.evidence.at + wait, sentence)
    if that_count:
        rest = f"the last event that counts is {_ago(that_count[0], now)} old"
    else:
        rest = "nothing that counts is written down, which is no all-clear"
    sentence = f"No trigger met at {now:%H:%M}: {rest} ({limits.title})."
    return LightningNow(counted, (), None, sentence)


def _ago(counted: Counted, now: datetime) -> str:
    return age_words(int((now - counted.evidence.at).total_seconds() // 60))


def age_words(minutes: int) -> str:
    """`12 min`, `3 h 5 min`."""
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the limits that are met ask for: `first` the most urgent, `also` the rest in one line."""

    first: str
    also: str = ""


def means_for_event(
    figures: Iterable[Figure], lightning: LightningNow, now: datetime, *, suspended: bool = False
) -> Asked:
    """In one line what it means for the event: what is asked for, the most urgent first; or that no limit is met,
    and how old the readings are. `now` in the zone of the event.
    """
    found = list(figures)
    asked = [f.trigger.step.means for f in sorted(found, key=_urgency) if f.trigger.step is not None]
    if lightning.active:
        stop = "play stays suspended" if suspended else "suspend play, three blasts"
        asked = [stop, *(means for means in asked if means != "suspend")]
    if asked:
        first, *rest = dict.fromkeys(asked)
        return Asked(_sentence(first), _sentence("; ".join(rest)) if rest else "")
    if not found:
        return Asked(f"No reading to go by at {now:%H:%M}.")
    oldest = max(figure.minutes for figure in found)
    return Asked(f"No trigger met at {now:%H:%M}; the oldest reading in use is {age_words(oldest)} old.")


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _urgency(figure: Figure) -> tuple[int, int]:
    """Words that stop play first, then the highest steps of a set."""
    step, limits = figure.trigger.step, figure.trigger.limits
    if step is None:
        return 9, 0
    return (0 if speaks_of_stopping(figure) else 1), -limits.steps.index(step)


def speaks_of_stopping(figure: Figure) -> bool:
    """Whether the limit that is met names a stop, be it to consider; the others ask for water, shade and the like."""
    step = figure.trigger.step
    words = ("suspend", "cancel", "stop", "another day", "indoors")
    return step is not None and any(word in step.means for word in words)


def series_of(readings: Iterable[Latest], rules: WeatherRules) -> dict[str, list[tuple[datetime, float]]]:
    """Kind → (moment, value) over a day's readings, each figure worked out whenever one of its readings came in.

    Wind and gust are speeds in m/s here, since their limits are speeds; the other values are the figures'.
    """
    series: dict[str, list[tuple[datetime, float]]] = {}
    held: dict[str, Latest] = {}
    ordered = sorted(readings, key=lambda each: each.at)
    for place, reading in enumerate(ordered):
        held[reading.quantity] = reading
        if place + 1 < len(ordered) and ordered[place + 1].at == reading.at:
            continue
        for figure in figures_of(held.values(), rules, reading.at):
            fresh = any(each.reading.at == reading.at for each in figure.inputs)
            value = figure.computed.value
            if figure.kind in {"wind", "gust"}:
                value = float(figure.inputs[0].reading.value)
            if fresh and value is not None:
                series.setdefault(figure.kind, []).append((reading.at, value))
    return series
