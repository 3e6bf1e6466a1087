"""How far a scratch scoring average and its ratings could be off: the propagators drawn anew, many times. Pure; numpy.

Whole players are drawn, with all their rounds in the pool, since two rounds of one player are not two opinions.
The same seed gives the same intervals to the last digit, whatever the order of the players.
"""

import hashlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from scoring.ratings.compression import Constants
from scoring.ratings.propagators import Propagator

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Drawn:
    """The averages of the resamples that have one; `seed` and `resamples` let anybody repeat it."""

    seed: int
    resamples: int
    percent: int
    ssas: Floats = field(repr=False, compare=False)

    @property
    def usable(self) -> int:
        return len(self.ssas)

    @property
    def se(self) -> float:
        """Standard deviation of the resampled averages, in throws."""
        return float(self.ssas.std(ddof=1))

    @property
    def ssa(self) -> tuple[float, float]:
        """The interval of the scratch scoring average, in throws."""
        low, high = np.quantile(self.ssas, _tails(self.percent))
        return float(low), float(high)


def seed_of(*parts: object) -> int:
    """A seed from the names of event and pool: the same on every machine."""
    return int.from_bytes(hashlib.sha256(" | ".join(map(str, parts)).encode()).digest()[:4])


def draw(
    propagators: Sequence[Propagator],
    *,
    scratch: int,
    proportion: int | None,
    seed: int,
    resamples: int,
    percent: int,
) -> Drawn | None:
    """Averages of `resamples` draws of the players; None with fewer than three players.

    With `proportion` the one-parameter line is fitted to each draw, without it the least-squares line. A draw of
    one rating alone has no line and is left out.
    """
    sums = _sums(propagators, scratch)
    players = len(sums)
    if players < 3:
        return None
    rng = np.random.Generator(np.random.PCG64(seed))
    chosen = rng.integers(0, players, size=(resamples, players))
    chosen += players * np.arange(resamples)[:, None]
    counts = np.bincount(chosen.ravel(), minlength=players * resamples).reshape(resamples, players)
    n, x, y, xx, xy = (counts @ sums).T
    if proportion is not None:
        return Drawn(seed, resamples, percent, y * proportion / (n * proportion - x))
    across = n * xx - x * x
    has_line = across > 0.5  # whole numbers: zero or at least one
    slope = (n * xy - x * y)[has_line] / across[has_line]
    ssas = (y[has_line] - slope * x[has_line]) / n[has_line]
    return Drawn(seed, resamples, percent, ssas) if len(ssas) > 1 else None


def rating_intervals(
    drawn: Drawn, scores: Sequence[int], constants: Constants, holes: int
) -> dict[int, tuple[int, int]]:
    """Score → lowest and highest rating it may be worth, both rounded down."""
    distinct = sorted(set(scores))
    if not distinct:
        return {}
    points = _points(drawn.ssas, constants, holes)
    ratings = constants.scratch + (drawn.ssas[:, None] - np.asarray(distinct)) * points[:, None]
    low, high = np.floor(np.quantile(ratings, _tails(drawn.percent), axis=0))
    return {score: (int(low[at]), int(high[at])) for at, score in enumerate(distinct)}


def _sums(propagators: Sequence[Propagator], scratch: int) -> Floats:
    """One row a player: rounds, and the sums of rating, score, squares and products, rating counted from scratch."""
    rounds: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for each in propagators:
        rounds[each.person or each.key].append((each.rating - scratch, each.score))
    rows = sorted(sorted(played) for played in rounds.values())
    return np.array(
        [
            [
                len(played),
                sum(x for x, _ in played),
                sum(y for _, y in played),
                sum(x * x for x, _ in played),
                sum(x * y for x, y in played),
            ]
            for played in rows
        ],
        float,
    ).reshape(len(rows), 5)


def _points(ssas: Floats, constants: Constants, holes: int) -> Floats:
    """`compression.points_per_throw` for many averages at once."""
    scale = constants.full_round / holes
    full = ssas * scale
    upper = float(constants.upper_intercept) + float(constants.upper_slope) * full
    lower = float(constants.lower_intercept) + float(constants.lower_slope) * full
    return np.where(full > float(constants.bend), upper, lower) * scale


def _tails(percent: int) -> tuple[float, float]:
    tail = (1 - percent / 100) / 2
    return tail, 1 - tail
