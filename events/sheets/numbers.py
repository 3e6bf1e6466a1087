"""Whole numbers and money out of cells, however the country writes them."""

import re
import unicodedata
from decimal import Decimal

from events.sheets.bad import BadValue, readable
from events.sheets.cells import Cell

_GROUPED = re.compile(r"([+-]?)(\d{1,3}(?:([ ,.'])\d{3})(?:\3\d{3})*|\d+)(?:[.,]0*)?\Z")
_POWER_OF_TEN = re.compile(r"\d(?:[.,]\d+)?E\+?\d+\Z", re.I)
_DASHES = str.maketrans({"−": "-", "–": "-", "‐": "-", "‑": "-", "’": "'", "`": "'", "，": ",", "．": "."})
# A sign or a code, before or after the amount, never inside it.
_CURRENCY = re.compile(
    r"\A(?:[A-Za-z]{0,3}[$€£¥₹₩₽₺₴]|[A-Za-z]{1,4}\.?)\s*|\s*(?:[$€£¥₹₩₽₺₴]|[A-Za-z]{1,4}\.?)\Z"
)
_MOST_DIGITS = 18  # what a database holds in a whole number
_NO_CENTS = re.compile(r"[.,](?:-{1,2}|=)\Z")
_AMOUNT = re.compile(r"\d[\d .,']*\Z")


def integer(cell: Cell, *, least: int | None = None, most: int | None = None) -> int | None:
    """A whole number: 7, 7.0, " 1 234 ", "1,234", "1.234", "1'234", "'70012"; None for a blank cell.

    Raises `BadValue` for anything else, also outside `least`..`most`.
    """
    value = readable(cell)
    if value is None:
        return None
    found = whole(value)
    if found is None:
        raise BadValue(value, "is not a whole number", "write digits only, as 1234")
    if (least is not None and found < least) or (most is not None and found > most):
        raise BadValue(value, f"is outside {_span(least, most)}", "correct the number or clear the cell")
    return found


def _span(least: int | None, most: int | None) -> str:
    return " to ".join(str(end) for end in (least, most) if end is not None)


def whole(value: object) -> int | None:
    """The value as a whole number of at most 18 digits, or None when it is none. Never raises."""
    found: int | None = None
    if isinstance(value, int) and not isinstance(value, bool):
        found = value
    elif isinstance(value, Decimal) and value == value.to_integral_value():
        found = int(value)
    elif isinstance(value, str):
        match = _GROUPED.match(figures(value))
        digits = re.sub(r"[ ,.']", "", match[2]) if match else ""
        found = int(match[1] + digits) if match and len(digits) <= _MOST_DIGITS else None
    return found if found is not None and abs(found) < 10**_MOST_DIGITS else None


def figures(text: str) -> str:
    """Full-width and other digits as 0-9, dashes as a hyphen, without apostrophes around."""
    if not text.isascii():
        text = text.translate(_DASHES)
        text = "".join(str(unicodedata.decimal(c)) if c.isdecimal() else c for c in text)
    return text.strip().removeprefix("'").rstrip("'")


def is_power_of_ten(text: str) -> bool:
    """True for `4.92E+11`: what a spreadsheet makes of a long number in a narrow column."""
    return _POWER_OF_TEN.match(text) is not None


def money(cell: Cell) -> int | None:
    """Integer cents: 45, "$45", "45,00 €", "1.045,50", "1'045.50", "(5.00)", "45.-"; None when blank.

    A single separator followed by exactly three digits groups thousands; one or two digits after the last
    separator are cents. Raises `BadValue`.
    """
    value = readable(cell)
    if value is None:
        return None
    cents = _number_in_cents(value) if not isinstance(value, str) else _text_in_cents(value)
    if cents is None:
        raise BadValue(value, "is not an amount of money", "write the amount in figures, as 45.00")
    return cents


def _number_in_cents(value: object) -> int | None:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        return None
    return whole(Decimal(value) * 100)


def _text_in_cents(text: str) -> int | None:
    text = figures(text)
    sign = 1
    if text.startswith("(") and text.endswith(")"):
        sign, text = -1, text[1:-1]
    text = _CURRENCY.sub("", text, count=1).strip()
    if text[:1] in ("-", "+"):
        sign, text = (-sign if text[0] == "-" else sign), text[1:].strip()
        text = _CURRENCY.sub("", text, count=1).strip()
    text = _NO_CENTS.sub("", text)
    if text.endswith("-"):
        sign, text = -sign, text[:-1].strip()
    if not _AMOUNT.match(text):
        return None
    units, cents = _split_cents(text)
    number = whole(units)
    return None if number is None else whole(sign * (number * 100 + int(cents.ljust(2, "0"))))


def _split_cents(text: str) -> tuple[str, str]:
    """(whole part with its grouping, digits of the cents)."""
    match = re.search(r"[.,](\d{1,2})\Z", text)
    return (text[: match.start()], match[1]) if match else (text, "")
