"""One converter per kind of field: a cell in, a value or None (blank) out, `BadValue` with a mend else."""

import re
from collections.abc import Collection
from datetime import date as _date
from decimal import Decimal
from difflib import SequenceMatcher
from functools import lru_cache

from events.sheets.bad import BadValue, readable
from events.sheets.cells import Cell, plain, shown
from events.sheets.dates import DateOrder, date, moment, year
from events.sheets.meanings import class_of_play, gender, membership_status, yes_no
from events.sheets.numbers import integer, is_power_of_ten, money, whole

__all__ = [
    "BadValue", "DateOrder", "class_of_play", "date", "division", "email", "full_name", "gender",
    "integer", "member_number", "membership_status", "moment", "money", "name", "phone", "rating",
    "text", "year", "yes_no",
]  # fmt: skip

# From memory of how long member numbers and how high ratings get; wide on purpose.
_MOST_MEMBER_NUMBER = 9_999_999
_MOST_RATING = 1_200
_LONGEST_CODE = 8

_NOTHING = frozenset({"", "0", "none", "no", "na", "n a", "nil", "new", "tbd", "pending", "unrated", "keine"})
_NUMBER_MARK = re.compile(r"\A(?:#|no\.?|nr\.?|n°|nº|№)\s*", re.I)
_ADDRESS = re.compile(r"[^\s@,;<>\"()]+@[^\s@,;<>\"()]+\.[^\s@.,;<>\"()]{2,}\Z")
_IN_BRACKETS = re.compile(r"[^<>]*<([^<>]+)>\Z")
_PHONE = re.compile(r"[+(\d][\d\s().,/+-]*(?:\s*(?:ext?\.?|x)\s*\d{1,6})?\Z", re.I)
_CODE_THEN_NAME = re.compile(r"([A-Za-z]{2,3}[\s._-]?\d{0,2})(?:\s*[–—:(/]|\s+-\s).*\Z")
_NOT_CODE = re.compile(r"[\s._\-–]+")
_PARTICLES = re.compile(
    r"(?:v[ao]n|de[rnl]?|della|d[iau]|das|dos|l[ae]|bin|ibn|al|el|ter|ten|zu[mr]?|af|av|st|san)\.?\Z", re.I
)
_SUFFIXES = frozenset({"jr", "sr", "ii", "iii", "iv"})


def text(cell: Cell, *, longest: int = 200) -> str | None:
    """Any text, cleaned; numbers and dates as they are shown. Raises `BadValue` beyond `longest`."""
    value = readable(cell)
    if value is None:
        return None
    if not isinstance(value, str):
        return shown(value)
    if len(value) > longest:
        raise BadValue(value, f"is {len(value)} characters long", f"shorten it to at most {longest}")
    return value


def name(cell: Cell, *, longest: int = 100) -> str | None:
    """Part of a person's name; a number or date is none, nor is text that lost its accents on the way."""
    value = readable(cell)
    if value is None:
        return None
    if not isinstance(value, str) or not any(letter.isalpha() for letter in value):
        raise BadValue(value, "is not a name", "write the name, or clear the cell")
    if "\ufffd" in value:
        raise BadValue(value, "holds a letter that was lost earlier", "type the name again")
    return text(value, longest=longest)


def full_name(cell: Cell) -> tuple[str, str] | None:
    """(given, family) of "Family, Given" or "Given Family"; given is "" for a single word.

    Without a comma the last word is the family name, with the small words before it (van der …); a word in
    capitals before others is the family name.
    """
    value = name(cell)
    if value is None:
        return None
    family, comma, given = value.partition(",")
    if comma and plain(given) not in _SUFFIXES and plain(given):
        return given.strip(), family.strip()
    return _split(value.replace(",", " ").split())


def _split(words: list[str]) -> tuple[str, str]:
    if len(words) > 1 and words[0].isupper() and len(words[0]) > 2 and not words[-1].isupper():
        capitals = next(i for i, word in enumerate(words) if not word.isupper())
        return " ".join(words[capitals:]), " ".join(words[:capitals])
    cut = len(words) - 1
    if cut > 1 and plain(words[cut]) in _SUFFIXES:
        cut -= 1
    while cut > 1 and _PARTICLES.match(words[cut - 1]):
        cut -= 1
    return " ".join(words[:cut]), " ".join(words[cut:])


def member_number(cell: Cell) -> int | None:
    """A positive number, with or without `#`; None for blank, 0, a dash or words such as `none`, `new`."""
    value = _or_nothing(cell)
    if value is None:
        return None
    if isinstance(value, str):
        _refuse_power(value)
        value = _NUMBER_MARK.sub("", value)
    number = whole(value)
    if number is None or not 0 < number <= _MOST_MEMBER_NUMBER:
        raise BadValue(cell, "is not a member number", "write digits only; clear the cell if there is none")
    return number


def rating(cell: Cell) -> int | None:
    """A player rating; None for blank, 0, a dash, `unrated`. Raises `BadValue` outside 1 to 1200."""
    value = _or_nothing(cell)
    if value is None:
        return None
    number = whole(value)
    if number is None:
        raise BadValue(value, "is not a rating", "write a whole number, as 925, or clear the cell")
    if not 0 < number <= _MOST_RATING:
        raise BadValue(value, f"is not a rating from 1 to {_MOST_RATING}", "correct it or clear the cell")
    return number


def _or_nothing(cell: Cell) -> str | int | Decimal | _date | bool | None:
    """The value, or None for what directors write where there is no number."""
    value = readable(cell)
    if isinstance(value, str):
        return None if plain(value) in _NOTHING else value
    return None if value == 0 and not isinstance(value, bool) else value


def _refuse_power(value: str) -> None:
    if is_power_of_ten(value):
        raise BadValue(
            value,
            "is a number that the spreadsheet shortened to a power of ten",
            "format the column as text and write all digits",
        )


def email(cell: Cell) -> str | None:
    """One address, its domain in lower case; also out of "Name <address>". Raises `BadValue`."""
    value = readable(cell)
    if value is None:
        return None
    found = value if isinstance(value, str) else ""
    bracketed = _IN_BRACKETS.match(found)
    found = (bracketed[1] if bracketed else found).strip().removeprefix("mailto:")
    if found.count("@") > 1:
        raise BadValue(value, "holds more than one address", "keep one address")
    if not _ADDRESS.match(found) or ".." in found:
        raise BadValue(value, "is not an e-mail address", "write it as name@example.org")
    local, _, domain = found.rpartition("@")
    return f"{local}@{domain.lower()}"


def phone(cell: Cell) -> str | None:
    """A phone number as written, 5 to 15 digits (ITU-T E.164 allows at most 15). Raises `BadValue`."""
    value = readable(cell)
    if value is None:
        return None
    found = str(value) if isinstance(value, int | Decimal) and not isinstance(value, bool) else value
    if isinstance(found, str):
        _refuse_power(found)
        digits = sum(c.isdigit() for c in re.split(r"[a-z]", found, maxsplit=1, flags=re.I)[0])
        if _PHONE.match(found) and 5 <= digits <= 15:
            return found
    raise BadValue(value, "is not a phone number", "write 5 to 15 digits, as +49 30 123456")


def division(cell: Cell, codes: Collection[str]) -> str | None:
    """One of the codes offered, however it is spaced or cased, also as "MA1 – its name"; None when blank.

    Raises `BadValue` that suggests the nearest code.
    """
    value = readable(cell)
    if value is None:
        return None
    if value in codes and isinstance(value, str):
        return value
    written = str(value)
    by_key = {_NOT_CODE.sub("", code).upper(): code for code in codes}
    named = _CODE_THEN_NAME.match(written)
    for candidate in (written, named[1] if named else written):
        found = by_key.get(_NOT_CODE.sub("", candidate).upper())
        if found is not None:
            return found
    near = _nearest(_NOT_CODE.sub("", written).upper(), frozenset(by_key))
    mend = _one_of(codes) + (f"; the nearest is {by_key[near]}" if near else "")
    raise BadValue(value, "is not a division of this event", mend)


@lru_cache(maxsize=1024)
def _nearest(key: str, known: frozenset[str]) -> str | None:
    """The most similar code, one of the same length before others: MA41 is nearer to MA40 than to MA1."""
    if len(key) > _LONGEST_CODE:
        return None
    scored = [
        (SequenceMatcher(None, key, code).ratio() + 0.2 * (len(code) == len(key)), code)
        for code in sorted(known)
    ]
    score, code = max(scored, key=lambda pair: pair[0], default=(0.0, ""))
    return code if score >= 0.7 else None


def _one_of(codes: Collection[str]) -> str:
    return f"write one of {', '.join(sorted(codes))}" if codes else "offer divisions first"
