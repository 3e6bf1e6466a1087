"""The run of a round as a strip of bars below and above a line. Pure: numbers for an SVG and a text.

Bars stand in the order of play. Under par hangs below the line, over par stands above it, par is a gap
on the line, and a hole without a score has no bar at all. Direction tells them apart, not colour alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.cards.arithmetic import from_start

STEP = 8  # width of one hole, in units of the SVG
BAR = 5
UNIT = 6  # height of one throw
TALLEST = 4  # bars of more throws are cut off here; the figure itself stands in the text


@dataclass(frozen=True)
class Bar:
    """One scored hole: `x` is its step in the order of play from 0, `amount` throws over (+) or under (-)
    par."""

    x: int
    amount: int


@dataclass(frozen=True)
class Rect:
    """A bar as an SVG rectangle; `side` is "over" or "under" for the style sheet."""

    x: int
    y: int
    width: int
    height: int
    side: str


@dataclass(frozen=True)
class Drawing:
    """All that a template needs to draw a strip: size, height of the line, rectangles, text instead."""

    width: int
    height: int
    line_y: int
    rects: tuple[Rect, ...]
    text: str


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


def drawing(throws: Sequence[int | None], pars: Sequence[int], start_position: int = 0) -> Drawing:
    """The strip of one round, ready to draw; the whole layout's width even when few holes are played."""
    shown = bars(throws, pars, start_position)
    line_y = TALLEST * UNIT
    return Drawing(
        width=STEP * len(pars),
        height=2 * line_y,
        line_y=line_y,
        rects=tuple(_rect(bar, line_y) for bar in shown if bar.amount),
        text=strip_text(shown),
    )


def _order(n_holes: int, start_position: int) -> tuple[int, ...]:
    return from_start(n_holes, start_position) if n_holes else ()


def _rect(bar: Bar, line_y: int) -> Rect:
    tall = min(abs(bar.amount), TALLEST) * UNIT
    over = bar.amount > 0
    left = bar.x * STEP + (STEP - BAR) // 2
    return Rect(left, line_y - tall if over else line_y, BAR, tall, "over" if over else "under")
