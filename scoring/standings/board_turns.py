"""Which rows stand together on a page of the kiosk, for a screen with room for so many lines. Pure.

A division that is too long is parted into pages of like size; small ones in a row share a page where their columns are
the same, each under a heading of its own that takes a line.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import ceil

ROOM = 12  # lines on a screen of 1920×1080, letters as large as eight metres ask for
LEAST_ROOM, MOST_ROOM = 3, 40


@dataclass(frozen=True, slots=True)
class Length:
    """A division: its code, how many rows it has, and its columns, which must be alike on one page."""

    code: str
    rows: int
    columns: Hashable


@dataclass(frozen=True, slots=True)
class Slice:
    """Rows `first` to before `last` of the division at `index`."""

    index: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Turn:
    """One page; `key` stays the same while the field does. `codes` are its divisions."""

    key: str
    codes: tuple[str, ...]
    slices: tuple[Slice, ...]

    @property
    def lines(self) -> int:
        """Lines that it takes: rows, and a heading for each division where there are several."""
        rows = sum(each.last - each.first for each in self.slices)
        return rows + (len(self.slices) if len(self.slices) > 1 else 0)


def room_within(asked: int | None) -> int:
    """The room that a screen asks for, within reason; without asking, that of the screen the board is drawn for."""
    return ROOM if asked is None else min(max(asked, LEAST_ROOM), MOST_ROOM)


def turns(divisions: Sequence[Length], room: int = ROOM) -> tuple[Turn, ...]:
    """The pages in the order of the divisions; none for none."""
    found: list[list[Slice]] = []
    shared: list[Slice] = []  # the page that a further small division may still join
    for index, division in enumerate(divisions):
        whole = Slice(index, 0, division.rows)
        alike = shared and divisions[shared[0].index].columns == division.columns
        if alike and _lines([*shared, whole]) <= room:
            shared.append(whole)
            continue
        parts = max(1, ceil(division.rows / room))
        size = ceil(division.rows / parts)
        cut = [[Slice(index, size * part, min(size * (part + 1), division.rows))] for part in range(parts)]
        found += cut
        shared = cut[0] if parts == 1 else []
    return tuple(_turn(divisions, slices) for slices in found)


def _lines(slices: Sequence[Slice]) -> int:
    return sum(each.last - each.first for each in slices) + len(slices)


def _turn(divisions: Sequence[Length], slices: Sequence[Slice]) -> Turn:
    codes = tuple(divisions[each.index].code for each in slices)
    number = slices[0].first // max(1, slices[0].last - slices[0].first) if len(slices) == 1 else 0
    return Turn("+".join(codes) + f"-{number}", codes, tuple(slices))


def foot(found: Sequence[Turn], at: int) -> str:
    """What stands at the foot: "page 1 of 9 · FPO next"."""
    if len(found) == 1:
        return "page 1 of 1"
    here, following = found[at], found[(at + 1) % len(found)]
    after = f"more of {here.codes[0]} next" if here.codes == following.codes else f"{_said(following)} next"
    return f"page {at + 1} of {len(found)} · {after}"


def _said(turn: Turn) -> str:
    return turn.codes[0] if len(turn.codes) == 1 else f"{turn.codes[0]} to {turn.codes[-1]}"


def find(found: Sequence[Turn], key: str) -> int:
    """Where the page with this key is; when the field has changed, the first with its division; else the first."""
    codes = key.rpartition("-")[0].split("+")
    for at, turn in enumerate(found):
        if turn.key == key:
            return at
    return next((at for at, turn in enumerate(found) if codes[0] in turn.codes), 0)
