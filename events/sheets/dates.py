"""Years, dates and moments out of cells. A two-digit year is never guessed, an unclear order never chosen."""

import datetime as dt
import re
from decimal import Decimal
from typing import Literal

from events.sheets.bad import BadValue, readable
from events.sheets.cells import Cell
from events.sheets.numbers import figures, whole

DateOrder = Literal["dmy", "mdy"]

_FIRST_YEAR, _LAST_YEAR = 1900, 2100
_SERIAL_ZERO = dt.date(1899, 12, 30)
_FIRST_SERIAL, _LAST_SERIAL = 7_306, 73_415  # 1920-01-01 to 2100-12-31
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})\Z")
_COMPACT = re.compile(r"((?:19|20)\d\d)(\d\d)(\d\d)\Z")
_PARTS = re.compile(r"(\d{1,2})\s?([-/. ])\s?(\d{1,2})\s?\2\s?(\d{2}|\d{4})\.?\Z")
_NAMED = re.compile(
    r"(?:(\d{1,2})\.?[ -]([a-z]{3,9})\.?[ ,-]+|([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? )(\d{4})\Z"
)
_WEEKDAY = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]* ", re.I)
_YEAR_IN_TEXT = re.compile(r"(?<!\d)\d{4}(?!\d)")
_TIME = re.compile(
    r"[T ,]+(\d{1,2}):(\d\d)(?::(\d\d)(?:\.\d+)?)?\s*([ap]\.?m\.?)?\s*(Z|[+-]\d\d:?\d\d)?\Z", re.I
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_LONGEST = 60  # of any notation; the patterns below are not made for pages of text
_MEND = "write it as 2025-03-14"


def year(cell: Cell, *, earliest: int = _FIRST_YEAR, latest: int = _LAST_YEAR) -> int | None:
    """A year of four digits, or the year of a date; None when blank. Raises `BadValue`."""
    value = readable(cell)
    if value is None:
        return None
    found = _year_of(value)
    if found is None:
        raise BadValue(value, "is not a year", "write four digits, as 1984")
    if not earliest <= found <= latest:
        raise BadValue(value, f"is not a year between {earliest} and {latest}", "write four digits, as 1984")
    return found


def _year_of(value: str | int | Decimal | dt.date | bool) -> int | None:
    if isinstance(value, dt.date):
        return value.year
    number = whole(value)
    if number is not None:
        return number if 1000 <= number <= 9999 else None
    if isinstance(value, str) and any(form.match(value) for form in (_ISO, _PARTS)):
        years = _YEAR_IN_TEXT.findall(value)
        return int(years[0]) if len(years) == 1 else None
    return None


def date(cell: Cell, *, order: DateOrder | None = None) -> dt.date | None:
    """A day: date cells, `2025-03-14`, `14.3.2025`, `3/14/2025`, `14 Mar 2025`, serial numbers.

    Dots mean day first. With other separators the order must follow from the figures or be given by `order`;
    else `BadValue` with `unclear` set. None when blank.
    """
    value = readable(cell)
    if isinstance(value, dt.datetime):
        return value.date()
    if value is None or isinstance(value, dt.date):
        return value
    if isinstance(value, str):
        if len(value) > _LONGEST:
            raise BadValue(value, "is not a date", _MEND)
        bare = _TIME.sub("", figures(value))
        return _from_text(value, _WEEKDAY.sub("", bare, count=1), order)
    return _from_number(value)


def moment(cell: Cell, *, order: DateOrder | None = None) -> dt.datetime | None:
    """A day with its time of day; midnight when the file names the day only. None when blank.

    Aware only when the text carries an offset (`Z`, `+02:00`). Raises `BadValue` as `date` does.
    """
    value = readable(cell)
    if value is None or isinstance(value, dt.datetime):
        return value
    if isinstance(value, Decimal) and _FIRST_SERIAL <= value <= _LAST_SERIAL:
        seconds = round((value % 1) * 86_400)
        return _midnight(_from_number(value // 1)) + dt.timedelta(seconds=seconds)
    day = date(value, order=order)
    if day is None:
        return None
    match = _TIME.search(figures(value)) if isinstance(value, str) else None
    return _midnight(day) if match is None else _with_time(value, day, match)


def _midnight(day: dt.date) -> dt.datetime:
    return dt.datetime(day.year, day.month, day.day)  # noqa: DTZ001 - the file names no zone; the event has one


def _with_time(value: Cell, day: dt.date, match: re.Match[str]) -> dt.datetime:
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[4]:
        hour = hour % 12 + (12 if match[4][0] in "pP" else 0)
    zone = match[5]
    offset = None
    if zone:
        text = "+00:00" if zone in "Zz" else zone if ":" in zone else f"{zone[:3]}:{zone[3:]}"
        offset = dt.datetime.fromisoformat(f"2000-01-01T00:00{text}").tzinfo
    try:
        return dt.datetime.combine(day, dt.time(hour, minute, second), tzinfo=offset)
    except ValueError as error:
        raise BadValue(value, "has no such time of day", "write it as 2025-03-14 09:30") from error


def _from_number(value: int | Decimal | bool) -> dt.date:
    # A huge number has no fraction to cut off.
    in_reach = isinstance(value, Decimal) and abs(value) <= _LAST_SERIAL + 1
    number = whole(value // 1) if in_reach else whole(value)
    if number is not None and _FIRST_YEAR <= number <= _LAST_YEAR:
        raise BadValue(value, "is a year, not a day", f"write the month and day too, as {number}-12-31")
    if number is None or not _FIRST_SERIAL <= number <= _LAST_SERIAL:
        raise BadValue(value, "is not a date", _MEND)
    return _SERIAL_ZERO + dt.timedelta(days=number)


def _from_text(value: str, text: str, order: DateOrder | None) -> dt.date:
    if whole(text) is not None and not _COMPACT.match(text):
        return _from_number(whole(text) or 0)
    iso = _ISO.match(text) or _COMPACT.match(text)
    if iso:
        return _made(value, int(iso[1]), int(iso[2]), int(iso[3]))
    parts = _PARTS.match(text)
    if parts:
        return _from_parts(value, parts, order)
    named = _NAMED.match(text.casefold())
    if named:
        month = (named[2] or named[3])[:3]
        if month in _MONTHS:
            return _made(value, int(named[5]), _MONTHS.index(month) + 1, int(named[1] or named[4]))
    raise BadValue(value, "is not a date", _MEND)


def _from_parts(value: str, parts: re.Match[str], order: DateOrder | None) -> dt.date:
    first, second, its_year = int(parts[1]), int(parts[3]), parts[4]
    if len(its_year) == 2:
        raise BadValue(value, "has a year of two digits", "write the year with four digits, as 2025-03-14")
    if parts[2] == ".":
        order = "dmy"
    if order is None and first != second and max(first, second) <= 12:
        either, other = (dt.date(int(its_year), *pair).isoformat() for pair in _both(first, second))
        raise BadValue(
            value,
            f"can be {either} or {other}",
            "choose the order of day and month for this file",
            unclear=True,
        )
    day_first = order == "dmy" if order else first > 12
    day, month = (first, second) if day_first else (second, first)
    return _made(value, int(its_year), month, day)


def _both(first: int, second: int) -> tuple[tuple[int, int], tuple[int, int]]:
    """(month, day) read day first, and read month first."""
    return (second, first), (first, second)


def _made(value: Cell, its_year: int, month: int, day: int) -> dt.date:
    try:
        found = dt.date(its_year, month, day)
    except ValueError as error:
        raise BadValue(value, "is no day of the calendar", _MEND) from error
    if not _FIRST_YEAR <= its_year <= _LAST_YEAR:
        raise BadValue(value, f"is not between {_FIRST_YEAR} and {_LAST_YEAR}", _MEND)
    return found
