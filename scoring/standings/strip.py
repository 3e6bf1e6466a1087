"""The run of a round as a strip of bars below and above a line. Pure: bars and a text; showing.py draws them.

Bars stand in the order of play. Under par hangs below the line, over par stands above it, par is a gap
on the line, and a hole without a score has no bar at all. Direction tells them apart, not colour alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.cards.arithmetic import from_start


@dataclass(frozen=True)
class Bar:
    """One scored hole: `x` is its step in the order of play from 0, `amount` throws over (+) or under (-)
    par."""

    x: int
    amount: int


def bars(throws: Sequence[int | None], pars: Sequence[int], start_position: int = 0) -> tuple[Bar, ...]:
    """Bars of the scored holes in the order of play from `start_position` (index from 0).

    Raises ValueError when throws and pars differ in length.
    """
    pairs = list(zip(throws, pars, strict=True))
    steps = [(step, *pairs[index]) for step, index in enumerate(_order(len(pairs), start_position))]
    return tuple(Bar(step, score - par) for step, score, par in steps if score is not None)


def strip_text(shown: Sequence[Bar]) -> str:
    """The strip in words: "4 holes under, 2 over, through 12"; "no holes played" for an empty one."""
    if not shown:
        return "no holes played"
    under = sum(bar.amount < 0 for bar in shown)
    over = sum(bar.amount > 0 for bar in shown)
    return f"{under} {'hole' if under == 1 else 'holes'} under, {over} over, through {len(shown)}"


def _order(n_holes: int, start_position: int) -> tuple[int, ...]:
    return from_start(n_holes, start_position) if n_holes else ()
