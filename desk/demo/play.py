"""Believable scores from a player's rating and a hole's par. Pure and seeded."""

import random
from collections.abc import Sequence

# A player's expected score grows with the gap to a scratch player: the one-parameter line of the ratings
# analysis (constant 480, inferred and not published). Good enough to invent scores with.
POINTS_PER_SCRATCH_ROUND = 480
SCRATCH_UNDER_PAR_PER_HOLE = 0.12
SPREAD_PER_HOLE = 0.72
UNRATED = 840


def round_of(pars: Sequence[int], rating: int | None, rng: random.Random, *, wind: float = 0.0) -> list[int]:
    """Throws per hole. `wind` adds throws per hole for everybody in that round."""
    form = rng.gauss(0, 0.06)
    factor = 1 + (1000 - (rating or UNRATED)) / POINTS_PER_SCRATCH_ROUND
    return [_hole(par, factor, form + wind, rng) for par in pars]


def _hole(par: int, factor: float, shift: float, rng: random.Random) -> int:
    expected = (par - SCRATCH_UNDER_PAR_PER_HOLE) * factor + shift
    throws = round(rng.gauss(expected, SPREAD_PER_HOLE))
    if rng.random() < 0.03:
        throws += rng.choice((1, 1, 2))  # out of bounds, a lost disc
    best = 1 if par == 3 and rng.random() < 0.002 else max(2, par - 2)
    return max(best, throws)
