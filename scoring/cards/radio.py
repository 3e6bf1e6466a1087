"""A radio call in one line: "group 7, through 9, -3, E, +1, +4" or "7 9 -3 E 1 +4". Pure.

Figures are to par after that many holes, in the order of the card. "x" leaves a player out.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

MOST_HOLES = 60
MOST_TO_PAR = 99
_EVEN = {"e", "even", "par", "0", "+0", "-0"}
_NOBODY = {"x", "?", "-", "–"}
_MINUS = str.maketrans("−–—", "---")
_FILLERS = {
    "group",
    "gr",
    "g",
    "through",
    "thru",
    "after",
    "holes",
    "hole",
    "on",
    "is",
    "are",
    "and",
    "minus",
    "plus",
}


class CallUnread(ValueError):
    """The line is no radio call; the message is a sentence that says what is missing."""


@dataclass(frozen=True, slots=True)
class Call:
    """`to_par` in the order of the card; None: nothing said of this player."""

    group: int
    through: int
    to_par: tuple[int | None, ...]


def read_call(line: str) -> Call:
    """Read one line as it is spoken or typed. Raises CallUnread."""
    words = _words(line)
    if len(words) < 3:
        raise CallUnread("Write the group, the holes played, and each player to par: 7 9 -3 E +1 +4.")
    group, through = _whole(words[0], "group"), _whole(words[1], "number of holes played")
    if not 1 <= through <= MOST_HOLES:
        raise CallUnread(f"{through} holes played cannot be: a call is made after 1 to {MOST_HOLES}.")
    return Call(group, through, tuple(_to_par(word) for word in words[2:]))


def _words(line: str) -> list[str]:
    """The figures of the line; "minus 3" and "plus 1" are taken together."""
    found = re.findall(r"[+-]?\d+|[a-zäöåéèüß]+|\?|(?<![^\s,;])-(?![^\s,;])", line.translate(_MINUS).lower())
    words: list[str] = []
    sign = ""
    for word in found:
        if word in {"minus", "plus"}:
            sign = "-" if word == "minus" else "+"
        elif word not in _FILLERS:
            words.append(sign + word if word.isdigit() else word)
            sign = ""
    return words


def _whole(word: str, what: str) -> int:
    if not re.fullmatch(r"\d{1,3}", word):
        raise CallUnread(f"“{word}” is no {what}. Write it as 7 9 -3 E +1 +4.")
    return int(word)


def _to_par(word: str) -> int | None:
    if word in _EVEN:
        return 0
    if word in _NOBODY:
        return None
    if not re.fullmatch(r"[+-]?\d{1,2}", word):
        raise CallUnread(f"“{word}” is no score to par: write -3, E, +4, or x to leave a player out.")
    return int(word)


def called_total(pars_in_order: Sequence[int], through: int, to_par: int) -> int:
    """Throws that a call stands for: par of the first `through` holes in order of play, plus the score to par.

    Raises ValueError for more holes than the layout has.
    """
    if through > len(pars_in_order):
        raise ValueError(f"{through} holes on a layout of {len(pars_in_order)}.")
    return sum(pars_in_order[:through]) + to_par
