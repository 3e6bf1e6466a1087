"""Lightning: two kinds of evidence that are never one number, and what each published set of limits makes of them.

A strike has a distance (a detection service places it); thunder has at most a count of seconds from flash to bang.
Seconds are kept as counted: the two whole-number rules for the distance (5 s a mile, 3 s a kilometre) do not agree.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain
from events.safety.computed import COMPUTED, Computed
from events.safety.triggers import FIRST, UnknownSet, set_keys
from events.safety.units import distance_m, figure, miles

NO_ALL_CLEAR = (
    "A longer count is no all-clear: counting sees only a storm that is already moving in, and cannot warn of the"
    " first strike."
)
RARELY_HEARD = "Thunder is rarely heard from further than about 10 miles (from memory)."
PRACTICE = "Common practice, no source."


@dataclass(frozen=True, slots=True)
class Strike:
    """Lightning placed by a service: metres from the course."""

    at: datetime
    distance_m: float
    source: str = ""


@dataclass(frozen=True, slots=True)
class Thunder:
    """Thunder heard; `seconds` from flash to bang, None where nobody counted."""

    at: datetime
    seconds: float | None = None
    source: str = ""


Evidence = Strike | Thunder


@dataclass(frozen=True, slots=True)
class LightningSet:
    """`thunder`: "not counted", "any", or "count" (the trigger is a count of `thunder_seconds` or less)."""

    key: str
    title: str
    strike_m: float
    strike_miles: int
    thunder: str
    thunder_seconds: int
    wait_minutes: int
    source: str


@dataclass(frozen=True, slots=True)
class CountRule:
    seconds_per_mile: int
    seconds_per_km: int
    sound_ms: int
    source: str


@dataclass(frozen=True, slots=True)
class Counted:
    """What a set makes of one piece of evidence, with the reason in words."""

    evidence: Evidence
    counts: bool
    why: str


def lightning_set(book: Rulebook, key: str = "") -> LightningSet:
    """The named set; the first to be offered without a name. Raises UnknownSet."""
    key = key or FIRST["lightning"]
    if key not in set_keys(book, "lightning"):
        known = ", ".join(set_keys(book, "lightning"))
        raise UnknownSet(f"lightning: no set is called {key!r}; there are {known}.")
    name = f"weather.limits.lightning.{key}"
    table = book.table(name)
    return LightningSet(
        key=key,
        title=str(table["title"]),
        strike_m=float(distance_m(f"{table['strike_miles']} mi")),
        strike_miles=_int(table["strike_miles"]),
        thunder=str(table["thunder"]),
        thunder_seconds=_int(table["thunder_seconds"]),
        wait_minutes=_int(table["wait_minutes"]),
        source=book.value(name).citation,
    )


def _int(value: Plain) -> int:
    return int(str(value))


def count_rule(book: Rulebook) -> CountRule:
    table: Mapping[str, Plain] = book.table("weather.lightning.count")
    return CountRule(
        _int(table["seconds_per_mile"]),
        _int(table["seconds_per_km"]),
        _int(table["sound_metres_per_second"]),
        book.value("weather.lightning.count.seconds_per_mile").citation,
    )


def flash_to_bang(seconds: Decimal, rule: CountRule) -> Computed:
    """The true distance in metres at the speed of sound; both whole-number rules stand among the remarks."""
    count = float(seconds)
    by_mile, by_km = count / rule.seconds_per_mile, count / rule.seconds_per_km
    return Computed(
        quantity="lightning, by the count",
        value=count * rule.sound_ms,
        unit="m",
        formula=f"Flash to bang, sound at {rule.sound_ms} m/s",
        inputs=(("flash to bang", f"{seconds} s"),),
        source=rule.source,
        remarks=(
            f"By 5 s a mile {figure(by_mile)} miles; by 3 s a kilometre {figure(by_km)} km.",
            COMPUTED,
            NO_ALL_CLEAR,
            RARELY_HEARD,
        ),
    )


def judged(evidence: Evidence, limits: LightningSet, *, stopped: bool = False) -> Counted:
    """Whether a piece of evidence is a trigger of the set, or resets its clock once play is `stopped`.

    Thunder that nobody counted is a trigger where thunder matters at all. After a stop the 30-30 text waits from
    the last thunder, however long its count.
    """
    if isinstance(evidence, Strike):
        near = evidence.distance_m <= limits.strike_m
        side = "within" if near else "beyond"
        words = f"strike at {figure(miles(evidence.distance_m))} miles, {side} {limits.strike_miles} miles"
        return Counted(evidence, near, words)
    counted = "" if evidence.seconds is None else f", {figure(evidence.seconds, 0)} s"
    words = f"thunder heard{counted}"
    if limits.thunder == "not counted":
        return Counted(evidence, False, f"{words}: not a trigger of “{limits.title}”")
    if limits.thunder == "any" or stopped or evidence.seconds is None:
        return Counted(evidence, True, words)
    near = evidence.seconds <= limits.thunder_seconds
    return Counted(evidence, near, f"{words}, {'at most' if near else 'over'} {limits.thunder_seconds} s")


def lead_distance(radius_m: float, storm_ms: float, walk_minutes: float) -> Computed:
    """How far off a storm is when the horn must sound, in metres: radius + storm speed × longest walk to shelter."""
    return Computed(
        quantity="lead distance",
        value=radius_m + storm_ms * walk_minutes * 60,
        unit="m",
        formula="Radius + storm speed × longest walk to shelter",
        inputs=(
            ("radius", f"{figure(radius_m / 1000)} km"),
            ("storm", f"{figure(storm_ms)} m/s"),
            ("longest walk", f"{figure(walk_minutes, 0)} min"),
        ),
        source=PRACTICE,
        remarks=(COMPUTED,),
    )
