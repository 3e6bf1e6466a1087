"""A written line with the rulings that lie on top of it: what counts. Pure.

A ruling is beside the card and never rewrites what a group wrote. On a hole without a score it waits: missing stays
missing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class OnTop:
    """Throws that a ruling adds (or takes off) on the hole of this index in layout order; None: on the round."""

    index: int | None
    throws: int
    words: str


@dataclass(frozen=True, slots=True)
class Counted:
    """Throws per hole, additional throws and what these are for, rulings included."""

    throws: tuple[int | None, ...]
    additional: int
    reason: str


def counted(throws: Sequence[int | None], additional: int, reason: str, on_top: Sequence[OnTop]) -> Counted:
    """Lay the rulings over a line as it was written."""
    holes = list(throws)
    reasons = [reason] if reason else []
    for ruling in on_top:
        if ruling.index is None:
            additional += ruling.throws
            reasons.append(ruling.words)
        elif ruling.index < len(holes) and holes[ruling.index] is not None:
            holes[ruling.index] += ruling.throws  # type: ignore[operator]
    return Counted(tuple(holes), additional, "; ".join(reasons))


def nothing_left(counts: Counted) -> bool:
    """Whether rulings that take throws off leave a hole, or the round, with fewer than one throw a hole."""
    holes = [throws for throws in counts.throws if throws is not None]
    return any(throws < 1 for throws in holes) or (
        bool(holes) and sum(holes) + counts.additional < len(holes)
    )


def read_on_top(kept: Sequence[Sequence[Any]]) -> tuple[OnTop, ...]:
    """The rulings as a card line keeps them: [index or null, throws, words]."""
    return tuple(OnTop(*row) for row in kept)
