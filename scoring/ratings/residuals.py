"""How each propagator lies to the line in use: residual, leverage, and whether the score is an outlier. Pure.

For the least-squares line the residuals are studentised as in every textbook: each by the spread of the others.
For the other methods the line through (1480, 0) and (1000, SSA) is in use, which is not fitted by squares, so its
residuals are only divided by their own spread.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scoring.ratings.line import Line
from scoring.ratings.propagators import Propagator
from scoring.ratings.round_rating import RoundRating


@dataclass(frozen=True)
class Lying:
    """One propagator: throws expected by the line, throws more (+) or fewer than that, pull on the line (None
    without a fitted line), and the residual in standard deviations (None where there is no spread)."""

    key: str
    name: str
    rating: int
    score: int
    expected: float
    residual: float
    leverage: float | None
    deviations: float | None
    outlier: bool


def lying(rated: RoundRating, *, scratch: int, proportion: int, outlier: int) -> tuple[Lying, ...]:
    """Every propagator, the strangest score first; nothing where the pool was refused."""
    if rated.ssa is None:
        return ()
    if rated.line is not None:
        rows = _of_line(rated.propagators, rated.line)
    else:
        rows = _of_share(rated.propagators, float(rated.ssa), scratch, proportion)
    marked = [
        Lying(
            each.key,
            each.name,
            each.rating,
            each.score,
            expected,
            each.score - expected,
            leverage,
            deviations,
            deviations is not None and abs(deviations) >= outlier,
        )
        for each, expected, leverage, deviations in rows
    ]
    return tuple(sorted(marked, key=lambda each: (-abs(each.residual), each.name, each.key)))


_Row = tuple[Propagator, float, float | None, float | None]


def _of_line(propagators: Sequence[Propagator], line: Line) -> list[_Row]:
    """External studentised residuals: the deviation without the point itself, by its leverage."""
    rows: list[_Row] = []
    freedom = line.n - 2
    squares = (line.residual_sd or 0.0) ** 2 * freedom
    for each in propagators:
        expected, leverage = float(line.at(each.rating)), float(line.leverage_at(each.rating))
        residual = each.score - expected
        rows.append((each, expected, leverage, _studentised(residual, leverage, squares, freedom)))
    return rows


def _studentised(residual: float, leverage: float, squares: float, freedom: int) -> float | None:
    free = 1 - leverage
    if freedom < 2 or free < 1e-12:
        return None
    others = (squares - residual**2 / free) / (freedom - 1)
    return residual / math.sqrt(others * free) if others > 1e-12 * max(squares, 1e-12) else None


def _of_share(propagators: Sequence[Propagator], ssa: float, scratch: int, proportion: int) -> list[_Row]:
    expected = [ssa * (1 + (scratch - each.rating) / proportion) for each in propagators]
    residuals = [each.score - at for each, at in zip(propagators, expected, strict=True)]
    freedom = len(propagators) - 1
    spread = math.sqrt(sum(each**2 for each in residuals) / freedom) if freedom > 0 else 0.0
    return [
        (each, at, None, residual / spread if spread > 1e-9 else None)
        for each, at, residual in zip(propagators, expected, residuals, strict=True)
    ]
