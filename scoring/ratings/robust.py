"""Second opinions on the line: fits that a few strange scores do not move. Shown beside a rating, never used for it.

Pure; numpy. Both return the score expected at the scratch rating, and the slope in throws per rating point.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

HUBER_BEND = 1.345  # deviations from which on a point counts less: 95 % efficiency on a normal field
MAD_OF_NORMAL = 0.674489750196082  # the median absolute deviation of a standard normal field
_STEPS = 500
_STILL = 1e-13

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Opinion:
    """Another fit of the same propagators; `ssa` in throws."""

    name: str
    ssa: float
    slope: float


def opinions(ratings: Sequence[int], scores: Sequence[int], scratch: int) -> tuple[Opinion, ...]:
    """Huber's and Theil and Sen's line at `scratch`; nothing where all ratings are equal."""
    if len(set(ratings)) < 2:
        return ()
    return (huber(ratings, scores, scratch), theil_sen(ratings, scores, scratch))


def huber(ratings: Sequence[int], scores: Sequence[int], scratch: int) -> Opinion:
    """Least squares in which a point far from the line weighs less the farther it is, by repeated weighting.

    The scale is the median absolute residual of the step before. Where half of the points lie on the line
    exactly there is no scale, and the line stays as it is.
    """
    x, y = np.asarray(ratings, float) - scratch, np.asarray(scores, float)
    ssa, slope = _weighted(x, y, np.ones_like(x))
    for _ in range(_STEPS):
        residuals = y - ssa - slope * x
        scale = float(np.median(np.abs(residuals))) / MAD_OF_NORMAL
        if scale < 1e-9:
            break
        far = np.maximum(np.abs(residuals) / scale, HUBER_BEND)
        found = _weighted(x, y, HUBER_BEND / far)
        still = abs(found[0] - ssa) + abs(found[1] - slope) < _STILL
        ssa, slope = found
        if still:
            break
    return Opinion("Huber", ssa, slope)


def theil_sen(ratings: Sequence[int], scores: Sequence[int], scratch: int) -> Opinion:
    """The median of the slopes between all pairs of players, through the medians of rating and score."""
    x, y = np.asarray(ratings, float) - scratch, np.asarray(scores, float)
    one, other = np.triu_indices(len(x), 1)
    across = x[other] - x[one]
    apart = across != 0
    slope = float(np.median((y[other] - y[one])[apart] / across[apart]))
    return Opinion("Theil and Sen", float(np.median(y)) - slope * float(np.median(x)), slope)


def _weighted(x: Floats, y: Floats, weights: Floats) -> tuple[float, float]:
    total = weights.sum()
    mean_x, mean_y = (weights * x).sum() / total, (weights * y).sum() / total
    across = x - mean_x
    slope = float((weights * across * (y - mean_y)).sum() / (weights * across * across).sum())
    return float(mean_y - slope * mean_x), slope
