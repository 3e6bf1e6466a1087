"""Scores over ratings as a drawing: the propagators, the others, and the line. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from scoring.ratings.propagators import Played

WIDTH, HEIGHT = 640, 360
LEFT, RIGHT, TOP, BOTTOM = 48, 12, 12, 44
RATING_STEP = 50
SCORE_STEP = 5


@dataclass(frozen=True)
class Dot:
    x: float
    y: float
    counts: bool
    title: str


@dataclass(frozen=True)
class Tick:
    at: float
    label: str


@dataclass(frozen=True)
class Segment:
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True)
class Scatter:
    """Everything in units of the SVG; `label` says in words what it shows."""

    width: int
    height: int
    left: int
    bottom: int
    dots: tuple[Dot, ...]
    ratings: tuple[Tick, ...]
    scores: tuple[Tick, ...]
    line: Segment | None
    label: str


def scatter(
    played: Sequence[Played],
    propagators: frozenset[str],
    *,
    slope: Fraction | None,
    intercept: Fraction | None,
) -> Scatter | None:
    """The drawing of everybody with a rating and a score; None without two of them.

    `slope` and `intercept` are those of score on rating, None where no line is drawn.
    """
    shown = [(each, each.rating, each.score) for each in played]
    known = [
        (each, rating, score) for each, rating, score in shown if rating is not None and score is not None
    ]
    if len(known) < 2:
        return None
    across = _span([rating for _, rating, _ in known], RATING_STEP)
    up = _span([score for _, _, score in known], SCORE_STEP)
    dots = tuple(
        Dot(
            _x(rating, across),
            _y(score, up),
            each.key in propagators,
            f"{each.name}: {rating}, {score} throws",
        )
        for each, rating, score in known
    )
    return Scatter(
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        bottom=HEIGHT - BOTTOM,
        dots=dots,
        ratings=tuple(Tick(_x(at, across), str(at)) for at in range(*across, _step(across, RATING_STEP))),
        scores=tuple(Tick(_y(at, up), str(at)) for at in range(*up, _step(up, SCORE_STEP))),
        line=_line(across, up, slope, intercept),
        label=f"Scores from {up[0]} to {up[1]} over ratings from {across[0]} to {across[1]}",
    )


def _span(values: Sequence[int], step: int) -> tuple[int, int]:
    low, high = floor(min(values) / step) * step, ceil(max(values) / step) * step
    return low, max(high, low + step) + 1


def _step(span: tuple[int, int], step: int) -> int:
    """At most nine labels along an axis."""
    return step * ceil((span[1] - span[0]) / (9 * step))


def _x(rating: float, span: tuple[int, int]) -> float:
    return round(LEFT + (rating - span[0]) * (WIDTH - LEFT - RIGHT) / (span[1] - span[0]), 1)


def _y(score: float, span: tuple[int, int]) -> float:
    return round(HEIGHT - BOTTOM - (score - span[0]) * (HEIGHT - TOP - BOTTOM) / (span[1] - span[0]), 1)


def _line(
    across: tuple[int, int], up: tuple[int, int], slope: Fraction | None, intercept: Fraction | None
) -> Segment | None:
    """The line within the frame."""
    if slope is None or intercept is None:
        return None
    ends = []
    for rating in across:
        score = float(intercept + slope * rating)
        held = min(max(score, up[0]), up[1])
        at = rating if held == score or not slope else float((Fraction(held) - intercept) / slope)
        ends.append((_x(at, across), _y(held, up)))
    (x1, y1), (x2, y2) = ends
    return Segment(x1, y1, x2, y2)
