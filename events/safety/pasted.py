"""One line or a pasted block of weather, `32 C, 60 %, wind 5 m/s gust 9 m/s`, into typed readings.

Nothing is guessed: a figure without its unit, a word that is not known, or a quantity that comes twice is a question,
and nothing of the block is taken then. A clock time on a line (`14:05 31 C`) is the time of that line; of several on
one line, each is the time of what follows it.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from events.safety.units import (
    NotAReading,
    humidity_percent,
    pm25_ug_m3,
    speed_ms,
    temperature_c,
    uv_index,
    wbgt_c,
)

READ: dict[str, Callable[[str], Decimal]] = {
    "temperature": temperature_c,
    "humidity": humidity_percent,
    "wind": speed_ms,
    "gust": speed_ms,
    "wbgt": wbgt_c,
    "pm25": pm25_ug_m3,
    "uv": uv_index,
}
NAMES = {
    "temperature": "temperature",
    "humidity": "humidity",
    "wind": "wind",
    "gust": "gust",
    "wbgt": "measured WBGT",
    "pm25": "PM2.5",
    "uv": "UV index",
}
_LABELS = {
    "temperature": "temperature",
    "temp": "temperature",
    "air": "temperature",
    "t": "temperature",
    "humidity": "humidity",
    "rh": "humidity",
    "wind": "wind",
    "gust": "gust",
    "gusts": "gust",
    "gusting": "gust",
    "wbgt": "wbgt",
    "pm2.5": "pm25",
    "pm25": "pm25",
    "uv": "uv",
}
_BY_UNIT = {
    "c": "temperature",
    "celsius": "temperature",
    "f": "temperature",
    "fahrenheit": "temperature",
    "%": "humidity",
    "m/s": "wind",
    "ms": "wind",
    "km/h": "wind",
    "kmh": "wind",
    "kph": "wind",
    "mph": "wind",
    "mi/h": "wind",
    "kn": "wind",
    "kt": "wind",
    "kts": "wind",
    "knots": "wind",
    "µg/m³": "pm25",
    "μg/m³": "pm25",
    "ug/m3": "pm25",
    "µg/m3": "pm25",
    "μg/m3": "pm25",
    "ug/m³": "pm25",
}
_NO_MATTER = frozenset(
    {"from", "is", "at", "and", "of", "the", "to", "up", "reading", "relative", "measured"}
)
_NO_MATTER |= frozenset({"index", "level", "n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw"})
_NO_MATTER |= frozenset({"sw", "wsw", "w", "wnw", "nw", "nnw"})
_LIGHTNING = frozenset({"strike", "strikes", "thunder", "lightning", "flash"})
_TOKEN = re.compile(
    r"(?P<clock>\b\d{1,2}:\d{2}\b)"
    r"|(?P<pm>\bpm\s?2[.,]?5\b)"
    r"|(?P<number>(?<!\w)(?<!\d[.,])[+\-−]?\d+(?:[.,]\d+)?)"
    r"|(?P<word>°?[^\W\d_][\w³/]*|%|°[cf]?)"
    r"|(?P<other>[^\s,;:=()·|])",
    re.IGNORECASE,
)
LONGEST = 2000


@dataclass(frozen=True, slots=True)
class TypedReading:
    """`value` in the slice's unit (Celsius, percent, m/s, µg/m³, index), `typed` as written; `clock` "" for none."""

    quantity: str
    value: Decimal
    typed: str
    clock: str = ""


def readings_in(text: str) -> list[TypedReading]:
    """All readings of a text, in their order. Raises NotAReading with a sentence to show."""
    if len(text) > LONGEST:
        raise NotAReading(f"This is longer than {LONGEST} characters: paste a few lines of readings only.")
    found: list[TypedReading] = []
    for line in text.replace("\r", "\n").split("\n"):
        found += _line(line)
    if not found:
        raise NotAReading("There is no reading in it. Write for instance 32 C, 60 %, wind 5 m/s.")
    seen: set[tuple[str, str]] = set()
    for each in found:
        if (each.quantity, each.clock) in seen:
            raise NotAReading(f"{NAMES[each.quantity].capitalize()} comes twice: which one is it?")
        seen.add((each.quantity, each.clock))
    return found


def _line(line: str) -> Iterator[TypedReading]:
    """The readings of one line; a label or a unit names the quantity, and the label is stronger."""
    clock, clocks = "", 0
    rows: list[TypedReading] = []
    label = number = unit = ""
    for kind, token in _tokens(line):
        if kind == "clock":
            if number:
                rows.append(_reading(label, number, unit, clock))
                label = number = unit = ""
            clock, clocks = token, clocks + 1
        elif kind == "number":
            if number:
                rows.append(_reading(label, number, unit, clock))
                label = ""
            number, unit = token, ""
        elif kind == "unit" and number and not unit:
            unit = token
        elif kind == "label":
            after = bool(number) and not label and _of_unit(unit) == token  # as in `60 % RH`
            if number:
                rows.append(_reading(label, number, unit, clock))
                number = unit = ""
            label = "" if after else token
        else:
            raise NotAReading(_not_understood(token, "" if unit else number))
    if number:
        rows.append(_reading(label, number, unit, clock))
    elif label:
        raise NotAReading(f"{NAMES[label].capitalize()}: the figure is missing.")
    return (replace(row, clock=clock) for row in rows) if clocks == 1 else iter(rows)


def _tokens(line: str) -> Iterator[tuple[str, str]]:
    """(kind, token): clock, number, unit, label, or other. Words without weight are left out."""
    for match in _TOKEN.finditer(line):
        kind, token = str(match.lastgroup), match[0]
        lowered = token.casefold().lstrip("°") or token
        if kind == "pm":
            yield "label", "pm25"
        elif kind != "word":
            yield kind, token
        elif lowered in _BY_UNIT:
            yield "unit", token
        elif lowered in _LABELS:
            yield "label", _LABELS[lowered]
        elif lowered not in _NO_MATTER:
            yield "other", token


def _reading(label: str, number: str, unit: str, clock: str) -> TypedReading:
    typed = f"{number} {unit}".strip()
    quantity = label or _of_unit(unit)
    if not quantity:
        raise NotAReading(f"{number} of what? Write the unit too: 32 C, 60 %, wind 5 m/s, or UV 7.")
    return TypedReading(quantity, READ[quantity](typed), typed, clock)


def _of_unit(unit: str) -> str:
    return _BY_UNIT.get(unit.casefold().lstrip("°"), "")


def _not_understood(token: str, number: str) -> str:
    if token.casefold() in _LIGHTNING:
        return "Lightning and thunder have their own line below. Nothing was taken."
    if number:
        return f"{number} {token[:20]}: this unit is not known. Nothing was taken."
    return f"“{token[:20]}” is not understood. Nothing was taken."
