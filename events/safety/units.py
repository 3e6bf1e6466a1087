"""Readings as they are typed, with their unit, into Celsius, m/s, percent, metres and µg/m³; and back for display.

Exact Decimals on the way in, because a reading is kept as it was typed; floats only in the formulas.
"""

import re
from decimal import Decimal, InvalidOperation

_FORM = re.compile(r"([+\-−]?\d+(?:[.,]\d+)?)\s*(.*)", re.DOTALL)
_FREEZING_F = Decimal(32)
_METRES = {"m": Decimal(1), "km": Decimal(1000), "mi": Decimal("1609.344"), "yd": Decimal("0.9144")}
_METRES |= {"ft": Decimal("0.3048")}
_MS = {
    "m/s": Decimal(1),
    "km/h": Decimal(1000) / 3600,
    "mph": Decimal("0.44704"),
    "kn": Decimal(1852) / 3600,
}
_SAME = {
    "°c": "c",
    "celsius": "c",
    "°f": "f",
    "fahrenheit": "f",
    "ms": "m/s",
    "kmh": "km/h",
    "kph": "km/h",
    "mi/h": "mph",
    "kt": "kn",
    "kts": "kn",
    "knots": "kn",
    "mile": "mi",
    "miles": "mi",
    "sec": "s",
    "seconds": "s",
    "ug/m3": "µg/m³",
    "µg/m3": "µg/m³",
    "μg/m3": "µg/m³",
    "μg/m³": "µg/m³",
    "ug/m³": "µg/m³",
}


class NotAReading(ValueError):
    """What was typed is no reading; the message is a sentence to show."""


def temperature_c(typed: str) -> Decimal:
    """`32C`, `90 °F` → Celsius. Raises NotAReading without a unit, or beyond −90 to 60 °C."""
    number, unit = _split(typed, "temperature", ("c", "f"), "32 C or 90 F")
    celsius = number if unit == "c" else (number - _FREEZING_F) * 5 / 9
    return _within(celsius, -90, 60, f"{typed.strip()}: no air has that temperature.")


def wbgt_c(typed: str) -> Decimal:
    """A measured WBGT, `28.5C` or `83F`, in Celsius."""
    number, unit = _split(typed, "measured WBGT", ("c", "f"), "28.5 C or 83 F")
    celsius = number if unit == "c" else (number - _FREEZING_F) * 5 / 9
    return _within(celsius, -40, 60, f"{typed.strip()}: no WBGT is that high or low.")


def humidity_percent(typed: str) -> Decimal:
    """`60` or `60 %`, between 0 and 100: percent is the only unit that humidity has."""
    number, _ = _split(typed, "humidity", ("%", ""), "60 %")
    return _within(number, 0, 100, f"Humidity lies between 0 and 100 %, not {number} %.")


def speed_ms(typed: str) -> Decimal:
    """`5m/s`, `12 mph`, `18 km/h`, `10 kn` → m/s."""
    number, unit = _split(typed, "wind", tuple(_MS), "5 m/s, 18 km/h, 12 mph or 10 kn")
    return _within(number * _MS[unit], 0, 120, f"{typed.strip()}: no wind blows like that.")


def speed_unit(typed: str) -> str:
    """The unit of a wind as it was typed: `m/s`, `km/h`, `mph` or `kn`. Raises NotAReading."""
    return _split(typed, "wind", tuple(_MS), "5 m/s, 18 km/h, 12 mph or 10 kn")[1]


def distance_m(typed: str) -> Decimal:
    """`12 mi`, `19 km`, `800 m` → metres."""
    number, unit = _split(typed, "distance", tuple(_METRES), "12 mi or 19 km")
    return _within(number * _METRES[unit], 0, 1_000_000, f"{typed.strip()}: too far, or below nothing.")


def count_seconds(typed: str) -> Decimal:
    """Seconds from flash to bang: `25` or `25 s`."""
    number, _ = _split(typed, "flash to bang", ("s", ""), "25 s")
    return _within(number, 0, 300, f"{typed.strip()}: thunder is counted from 0 to 300 seconds.")


def pm25_ug_m3(typed: str) -> Decimal:
    """Fine particles: `35` or `35 µg/m³`."""
    number, _ = _split(typed, "PM2.5", ("µg/m³", ""), "35 µg/m³")
    return _within(number, 0, 5000, f"{typed.strip()}: PM2.5 lies between 0 and 5000 µg/m³.")


def uv_index(typed: str) -> Decimal:
    """The UV index, a bare number."""
    number, _ = _split(typed, "UV index", ("",), "7")
    return _within(number, 0, 30, f"{typed.strip()}: the UV index lies between 0 and 30.")


def _split(typed: str, what: str, units: tuple[str, ...], example: str) -> tuple[Decimal, str]:
    found = _FORM.fullmatch(typed.strip())
    if found is None or len(typed) > 40:
        raise NotAReading(f"{what}: {typed.strip()[:40]!r} is not a number with a unit. Write {example}.")
    unit = found[2].strip().casefold()
    unit = _SAME.get(unit, unit)
    if not unit and "" not in units:
        raise NotAReading(f"{what}: {found[1]} of what? Write the unit too: {example}.")
    if unit not in units:
        raise NotAReading(f"{what}: {found[2].strip()!r} is not a unit for it. Write {example}.")
    try:
        return Decimal(found[1].replace(",", ".").replace("−", "-")), unit
    except InvalidOperation:
        raise NotAReading(f"{what}: {found[1]!r} is not a number. Write {example}.") from None


def _within(number: Decimal, low: int, high: int, words: str) -> Decimal:
    if not low <= number <= high:
        raise NotAReading(words)
    return number


# ------------------------------------------------------------------ for the formulas and for display


def fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def celsius(fahrenheit_: float) -> float:
    return (fahrenheit_ - 32) * 5 / 9


def in_unit(speed: float, unit: str) -> float:
    """m/s as `m/s`, `km/h`, `mph` or `kn`. Raises KeyError for another unit."""
    return speed / float(_MS[unit])


def miles(metres: float) -> float:
    return metres / float(_METRES["mi"])


def figure(value: float, places: int = 1) -> str:
    """A number for people: half up, with a true minus sign, `0.0` without a sign."""
    step = Decimal(1).scaleb(-places)
    rounded = half_up(value, step)
    return str(abs(rounded)) if rounded == 0 else str(rounded).replace("-", "−")


def half_up(value: float, step: Decimal) -> Decimal:
    """Rounded to a step as the published charts are: halves go up, also below zero (−19.5 is −19).

    A float is first taken to nine places, so that 2.675 is a half and not a hair below it.
    """
    exact = Decimal(repr(round(value, 9)))
    return ((exact / step + Decimal("0.5")).to_integral_value("ROUND_FLOOR") * step).quantize(step)
