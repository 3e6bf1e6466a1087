"""Figures of the weather in the units of the event: metres go with Celsius and m/s, feet with Fahrenheit and mph."""

from events.safety.standing import Figure
from events.safety.triggers import LimitSet, Step
from events.safety.units import celsius, fahrenheit, figure, in_unit, miles

TITLES = {
    "heat": "Heat index",
    "wbgt": "WBGT",
    "cold": "Wind chill",
    "wind": "Wind",
    "gust": "Gusts",
    "air": "Air quality index",
    "uv": "UV index",
}
_TEMPERATURES = frozenset({"heat", "wbgt", "cold"})
_WINDS = frozenset({"wind", "gust"})


def unit_of(kind: str, units: str) -> str:
    """The unit of a kind in the event's `units` ("m" or "ft"); "" for an index."""
    if kind in _TEMPERATURES:
        return "°F" if units == "ft" else "°C"
    if kind in _WINDS:
        return "mph" if units == "ft" else "m/s"
    return ""


def in_units(kind: str, value: float, units: str) -> float:
    """A value of the slice (Celsius, m/s, index) as the event counts it."""
    if kind in _TEMPERATURES:
        return fahrenheit(value) if units == "ft" else value
    if kind in _WINDS:
        return in_unit(value, "mph") if units == "ft" else value
    return value


def limit_value(step: Step, limits: LimitSet) -> float:
    """A limit in the slice's own unit, whatever unit it was published in."""
    return celsius(float(step.start)) if limits.unit == "F" else float(step.start)


def value_words(kind: str, value: float, units: str) -> str:
    """`33.3 °C`, `92 °F`, `5.0 m/s`, `124`."""
    places = 1 if kind in _TEMPERATURES | _WINDS and units != "ft" else 0
    return f"{figure(in_units(kind, value, units), places)} {unit_of(kind, units)}".strip()


def big_words(found: Figure, units: str) -> tuple[str, str]:
    """The large figure and the small word beside it; ("", "") where the figure is not defined."""
    value, at_least = found.computed.value, found.computed.at_least
    if value is None and at_least is None:
        return "", ""
    if found.kind in _WINDS:
        speed = value_words(found.kind, float(found.inputs[0].reading.value), units)
        return figure(value or 0, 0), f"Beaufort, {speed}"
    if value is None:
        return f"over {value_words(found.kind, at_least or 0, units)}", ""
    number, _, unit = value_words(found.kind, value, units).partition(" ")
    return number, unit


def distance_words(metres: float, units: str) -> str:
    """`14.5 km` or `9.0 mi`."""
    return f"{figure(miles(metres))} mi" if units == "ft" else f"{figure(metres / 1000)} km"
