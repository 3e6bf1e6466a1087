"""The air quality index of fine particles (PM2.5) by the breakpoints in force since May 2024."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain
from events.safety.computed import Computed, not_defined
from events.safety.units import half_up

HOURLY = (
    "The index is made for a mean of 24 hours: a reading of one hour or of a small sensor is not that index."
)


@dataclass(frozen=True, slots=True)
class Band:
    """Index from–to, concentration from–to in µg/m³, and the published word."""

    index_from: Decimal
    index_to: Decimal
    start: Decimal
    end: Decimal
    word: str


@dataclass(frozen=True, slots=True)
class AirRule:
    bands: tuple[Band, ...]
    source: str


def air_rule(book: Rulebook) -> AirRule:
    bands = tuple(_band(row) for row in book.rows("weather.air.pm25"))
    return AirRule(bands, book.value("weather.air.pm25").citation)


def _band(row: Mapping[str, Plain]) -> Band:
    index_from, index_to, start, end = (
        Decimal(str(row[name])) for name in ("index_from", "index_to", "from", "to")
    )
    return Band(index_from, index_to, start, end, str(row["word"]))


def air_quality(pm25: Decimal, rule: AirRule) -> Computed:
    """The index, a whole number as a float, of µg/m³; the class stands among the remarks.

    The concentration is cut (not rounded) to 0.1, the index rounded. Beyond the last breakpoint there is no number.
    """
    cut = (pm25 * 10).to_integral_value(ROUND_FLOOR) / 10
    inputs = (("PM2.5", f"{pm25} µg/m³"),)
    last = rule.bands[-1]
    name, quantity = "Air quality index, PM2.5, 2024 breakpoints", "air quality index"
    if cut > last.end:
        why = not_defined(f"the index ends at {last.end} µg/m³; this is beyond “{last.word}”")
        return Computed(
            quantity, None, "", name, inputs, rule.source, why, (HOURLY,), at_least=float(last.index_to)
        )
    if cut < 0:
        why = not_defined("no air has less than nothing in it")
        return Computed(quantity, None, "", name, inputs, rule.source, why, (HOURLY,))
    band = next(each for each in rule.bands if cut <= each.end)
    slope = (band.index_to - band.index_from) / (band.end - band.start)
    index = half_up(float(slope * (cut - band.start) + band.index_from), Decimal(1))
    remarks = (f"Class: {band.word}.", HOURLY)
    return Computed(quantity, float(index), "", name, inputs, rule.source, remarks=remarks)
