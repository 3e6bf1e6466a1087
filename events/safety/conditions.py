"""All that can be computed from the readings there are, each with what the chosen set of limits says to it."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from events.rulebook.loader import Rulebook
from events.safety.air import air_quality, air_rule
from events.safety.cold import cold_rule, wind_chill
from events.safety.computed import Computed
from events.safety.heat import heat_index, heat_rule, wbgt, wbgt_rule
from events.safety.triggers import KINDS, LimitSet, Trigger, judge, judge_value, limit_set
from events.safety.uv import uv
from events.safety.wind import beaufort, wind_rule

NO_CHOICE: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read, in °C, percent, m/s, µg/m³ and as an index; None where nothing was read.

    `wind_unit` and `gust_unit` are those of the instrument: the Beaufort tables round at their own limits.
    """

    temperature_c: Decimal | None = None
    humidity: Decimal | None = None
    wind_ms: Decimal | None = None
    gust_ms: Decimal | None = None
    wbgt_c: Decimal | None = None
    pm25: Decimal | None = None
    uv: Decimal | None = None
    wind_unit: str = "m/s"
    gust_unit: str = "m/s"


@dataclass(frozen=True, slots=True)
class Condition:
    """`kind`: heat, wbgt, cold, wind, gust, air or uv."""

    kind: str
    computed: Computed
    trigger: Trigger


def conditions(
    readings: Readings, book: Rulebook, chosen: Mapping[str, str] = NO_CHOICE
) -> tuple[Condition, ...]:
    """Every condition whose readings are there, in one order. `chosen`: the set's key for a kind.

    Raises UnknownSet for a set that there is not.
    """
    limits = {kind: limit_set(book, kind, chosen.get(kind, "")) for kind in KINDS}
    felt = [*_of_heat(readings, book), *_of_wind(readings, book)]
    breathed = []
    if readings.pm25 is not None:
        breathed.append(("air", air_quality(readings.pm25, air_rule(book))))
    if readings.uv is not None:
        breathed.append(("uv", uv(readings.uv, limits["uv"])))
    judged = [
        [Condition(kind, computed, judge(computed, limits[kind])) for kind, computed in found]
        for found in (felt, breathed)
    ]
    return (*judged[0], *_blown(readings, book, limits["wind"]), *judged[1])


def _of_heat(readings: Readings, book: Rulebook) -> list[tuple[str, Computed]]:
    t, rh = readings.temperature_c, readings.humidity
    found = []
    if t is not None and rh is not None:
        found.append(("heat", heat_index(float(t), float(rh), heat_rule(book))))
    if readings.wbgt_c is not None or (t is not None and rh is not None):
        measured = None if readings.wbgt_c is None else float(readings.wbgt_c)
        air, damp = (None if each is None else float(each) for each in (t, rh))
        found.append(("wbgt", wbgt(air, damp, wbgt_rule(book), measured)))
    return found


def _of_wind(readings: Readings, book: Rulebook) -> list[tuple[str, Computed]]:
    if readings.temperature_c is None or readings.wind_ms is None:
        return []
    return [("cold", wind_chill(float(readings.temperature_c), float(readings.wind_ms), cold_rule(book)))]


def _blown(readings: Readings, book: Rulebook, limits: LimitSet) -> list[Condition]:
    """Wind and gust: the Beaufort number is shown, the limits are those of the speed."""
    rule = wind_rule(book)
    speeds = (
        ("wind", readings.wind_ms, readings.wind_unit),
        ("gust", readings.gust_ms, readings.gust_unit),
    )
    return [
        Condition(name, beaufort(float(speed), rule, unit, name), judge_value(float(speed), limits))
        for name, speed, unit in speeds
        if speed is not None
    ]
