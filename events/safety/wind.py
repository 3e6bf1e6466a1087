"""The Beaufort number of a wind, by the published limits of the unit it was read in."""

from dataclasses import dataclass
from decimal import Decimal

from events.rulebook.loader import Rulebook
from events.safety.computed import Computed
from events.safety.units import figure, half_up, in_unit

_KEYS = {
    "kn": "knots",
    "m/s": "metres_per_second",
    "mph": "miles_per_hour",
    "km/h": "kilometres_per_hour",
}


@dataclass(frozen=True, slots=True)
class WindRule:
    """The lower limits of Beaufort 1 to 12 by unit, what is seen on land from 0 on, and the source."""

    limits: dict[str, tuple[Decimal, ...]]
    on_land: tuple[str, ...]
    source: str


def wind_rule(book: Rulebook) -> WindRule:
    at = "weather.beaufort"
    return WindRule(
        {unit: tuple(Decimal(word) for word in book.words(f"{at}.{key}")) for unit, key in _KEYS.items()},
        book.words(f"{at}.on_land"),
        book.value(f"{at}.knots").citation,
    )


def beaufort(wind_ms: float, rule: WindRule, unit: str = "m/s", name: str = "wind") -> Computed:
    """0 to 12. `unit` is the one that the wind was read in: the printed tables round at their own limits.

    The speed is rounded as the table is printed, to 0.1 m/s or to whole knots, mph or km/h; less than 1 of those
    three is 0, and is not rounded up to it. Raises KeyError for another unit.
    """
    limits = rule.limits[unit]
    speed = in_unit(wind_ms, unit)
    shown = half_up(speed, Decimal("0.1") if unit == "m/s" else Decimal(1))
    calm = unit != "m/s" and round(speed, 1) < 1  # 1 kn, kept as 0.51 m/s, stays 1
    number = 0 if calm else sum(shown >= limit for limit in limits)
    return Computed(
        quantity=f"Beaufort, {name}",
        value=float(number),
        unit="",
        formula=f"Beaufort scale, limits in {unit}",
        inputs=((name, f"{figure(speed)} {unit}"),),
        source=rule.source,
        remarks=(f"On land: {rule.on_land[number]}.",),
    )
