"""Distances of a contest: whole centimetres inside, metres or feet and inches where they are typed and shown. Pure."""

import re

CM_PER_INCH = 2.54
FARTHEST_CM = 60_000  # 600 m, as long as a hole can be
_METRES = re.compile(r"(\d{1,3})(?:[.,](\d{1,2}))?\s*(?:m|metres?)?", re.IGNORECASE)
_FEET = re.compile(
    r"(?:(\d{1,4})\s*(?:'|ft|feet|foot|\N{RIGHT SINGLE QUOTATION MARK}))?\s*"
    r"(?:(\d{1,2})\s*(?:\"|in|inches|inch|\N{RIGHT DOUBLE QUOTATION MARK}))?",
    re.IGNORECASE,
)


class BadDistance(ValueError):
    """What was typed is no distance; the message is a sentence with an example."""


def cm_from(text: str, units: str) -> int:
    """Centimetres of what was typed: 3.42 or 3,42 m; 11 ft 4 in or 11'4". A bare figure is in the event's unit.

    Raises BadDistance.
    """
    text = text.strip()
    found = _METRES.fullmatch(text)
    if found and (units == "m" or "m" in text.lower()):
        whole, part = found.groups(default="")
        return _within(int(whole) * 100 + int(part.ljust(2, "0")))
    feet = _FEET.fullmatch(text if not text.isdecimal() else f"{text} ft")
    if text and feet and (feet[1] or feet[2]):
        inches = int(feet[1] or 0) * 12 + int(feet[2] or 0)
        return _within(round(inches * CM_PER_INCH))
    example = "3.42" if units == "m" else "11 ft 4 in"
    raise BadDistance(f"Write the distance as {example}.")


def _within(cm: int) -> int:
    if not 0 <= cm <= FARTHEST_CM:
        raise BadDistance("No throw is longer than 600 m: look at the figure again.")
    return cm


def distance_text(cm: int, units: str) -> str:
    """3.42 m, or 11 ft 3 in to the nearest inch."""
    if units == "m":
        return f"{cm // 100}.{cm % 100:02d} m"
    feet, inches = divmod(round(cm / CM_PER_INCH), 12)
    return f"{feet} ft {inches} in"
