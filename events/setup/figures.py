"""Figures in words, the same on screen and on paper. Pure."""

import re
from datetime import datetime

MINUS = "\u2212"
FEET_PER_METRE = 3.28084
_MONEY = re.compile(r"(\d{1,7})(?:[.,](\d{1,2}))?")
SYMBOLS = {"USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "EUR": "€", "GBP": "£", "JPY": "¥"}


def money_text(cents: int | None, currency: str) -> str:
    """$45, $45.50, −€10; other currencies by their code: 450 SEK. A dash where nothing is known."""
    if cents is None:
        return "–"
    whole, part = divmod(abs(cents), 100)
    figure = f"{whole:,}" + (f".{part:02d}" if part else "")
    sign = MINUS if cents < 0 else ""
    symbol = SYMBOLS.get(currency)
    return f"{sign}{symbol}{figure}" if symbol else f"{sign}{figure} {currency}"


def cents_from(text: str) -> int:
    """Cents of a typed amount: 45, 45.5, 45,50 or $45.50.

    Raises ValueError with a sentence to show; a thousands mark is refused, since 1,250 could mean two things.
    """
    found = _MONEY.fullmatch(re.sub(r"[\s$€£¥]", "", text))
    if found is None:
        raise ValueError("Write an amount as 45 or 45.50.")
    whole, part = found.groups(default="")
    return int(whole) * 100 + int(part.ljust(2, "0"))


def typed_money(cents: int) -> str:
    """An amount as it stands in an input: 45 or 45.50."""
    whole, part = divmod(cents, 100)
    return f"{whole}.{part:02d}" if part else str(whole)


def in_units(metres: int | None, units: str) -> int | None:
    """Metres in the unit in which the event shows lengths, "m" or "ft"; None stays None."""
    return metres if metres is None or units == "m" else round(metres * FEET_PER_METRE)


def in_metres(length: int | None, units: str) -> int | None:
    """A length that was typed in the event's unit, in metres; None stays None."""
    return length if length is None or units == "m" else round(length / FEET_PER_METRE)


def length_number(metres: int | None, units: str) -> str:
    """124 or 1,407, where the unit stands elsewhere; a dash where nothing is known."""
    return "–" if metres is None else f"{in_units(metres, units):,}"


def length_text(metres: int | None, units: str) -> str:
    """124 m or 1,407 ft, as the event shows lengths; a dash where nothing is known."""
    return "–" if metres is None else f"{length_number(metres, units)} {units}"


def clock_text(moment: datetime) -> str:
    return f"{moment:%H:%M}"
