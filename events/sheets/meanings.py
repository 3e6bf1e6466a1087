"""Cells that choose one of a few meanings, in the words of several languages."""

from datetime import date
from decimal import Decimal
from typing import Literal, TypeVar

from events.sheets.bad import BadValue, readable
from events.sheets.cells import Cell, plain

_Meaning = TypeVar("_Meaning")


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Words as `cells.plain` leaves them, phrases without their blanks; ticks and crosses stay as they are.
_YES = _words("yes y true x 1 ja j si s oui o sim igen tak kylla da hai ok paid waitlist ✓ ✔ ☑ да")
_NO = _words("no n false unpaid notpaid pending 0 nein nej nee non nao nem nie ei ne net ✗ ✘ ☐ - – нет")
_FEMALE = _words(
    "f w female woman women womens girl girls lady ladies frau frauen dame damen femme mujer donna kvinna"
)
_MIXED = _words(
    "m male man men mens boy boys mixed open x d nb nonbinary divers herr herren mann homme hombre uomo"
)
_PRO = _words("pro professional p profi professionnel profesional professionista")
_AM = _words("am amateur a ama amator aficionado dilettante amatore")
_CURRENT = _YES | _words("current active valid member renewed aktiv goodstanding")
_EXPIRED = _NO | _words(
    "expired lapsed inactive notcurrent noncurrent none overdue unpaid abgelaufen notamember nonmember"
)


def yes_no(cell: Cell) -> bool | None:
    """Yes or no in common words of several languages, a tick or an x; None when blank."""
    value = readable(cell)
    if value is None or isinstance(value, bool):
        return value
    words = {True: _YES, False: _NO}
    return _meaning(value, words, "is neither yes nor no", "write yes or no")


def gender(cell: Cell) -> Literal["F", "M"] | None:
    """Eligibility for the divisions: "F" for the gender-based ones, "M" for the mixed ones only.

    Competition Manual 2025, 2.01.C: women may enter any mixed division, others not the F divisions.
    """
    value = readable(cell)
    if value is None:
        return None
    words: dict[Literal["F", "M"], frozenset[str]] = {"F": _FEMALE, "M": _MIXED}
    return _meaning(value, words, "is not a gender eligibility", "write F or M")


def class_of_play(cell: Cell) -> Literal["pro", "am"] | None:
    """Whether the person is registered as a professional or an amateur; None when blank."""
    value = readable(cell)
    if value is None:
        return None
    words: dict[Literal["pro", "am"], frozenset[str]] = {"pro": _PRO, "am": _AM}
    return _meaning(value, words, "is neither professional nor amateur", "write pro or am")


def membership_status(cell: Cell) -> bool | None:
    """True when the membership is current, False when it is not, None when blank."""
    value = readable(cell)
    if value is None or isinstance(value, bool):
        return value
    words = {True: _CURRENT, False: _EXPIRED}
    return _meaning(value, words, "is not a membership status", "write current or expired")


def _meaning(
    value: str | int | Decimal | date, words: dict[_Meaning, frozenset[str]], what: str, mend: str
) -> _Meaning:
    """The meaning whose words hold the value; raises `BadValue` when none does."""
    read = plain(str(value)) or str(value)
    for meaning, known in words.items():
        if read.replace(" ", "") in known:
            return meaning
    raise BadValue(value, what, mend)
