"""The cash float: the notes and coins with which everybody who pays at the table gets change. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.logistics.things.counting import ceil_percent


@dataclass(frozen=True, slots=True)
class Piece:
    """A note or coin of `cents`, and how many of it the float holds."""

    cents: int
    count: int


@dataclass(frozen=True, slots=True)
class Float:
    """`left_cents`: change that these notes and coins cannot make."""

    payers: int
    pieces: tuple[Piece, ...]
    left_cents: int

    @property
    def cents(self) -> int:
        return sum(piece.cents * piece.count for piece in self.pieces)


def float_for(due: Sequence[int], cash_percent: int, note: int, pieces: Sequence[int]) -> Float:
    """For the worst morning: those who need most change are the ones who pay in cash, and nobody's coins are used
    for the next. For each piece the most that any choice of payers needs, so that a bigger field never needs fewer.
    """
    sizes = sorted(set(pieces), reverse=True)
    payers = ceil_percent(len(due), cash_percent)
    split = [_change(-cents % note, sizes) for cents in due]
    counts = []
    for index, size in enumerate(sizes):
        most = sorted((counted[index] for counted in split), reverse=True)
        counts.append(Piece(size, sum(most[:payers])))
    left = max(
        (-cents % note - _worth(made, sizes) for cents, made in zip(due, split, strict=True)), default=0
    )
    return Float(payers, tuple(counts), left)


def _change(cents: int, sizes: Sequence[int]) -> tuple[int, ...]:
    """How many of each piece make the change, the largest first."""
    counts = []
    for size in sizes:
        count, cents = divmod(cents, size)
        counts.append(count)
    return tuple(counts)


def _worth(counts: Sequence[int], sizes: Sequence[int]) -> int:
    return sum(count * size for count, size in zip(counts, sizes, strict=True))
