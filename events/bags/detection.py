"""What a spot check finds: the hypergeometric chance for pool, sample and offenders. Exact, in fractions.

It is deterrence: a clean sample absolves nobody, and players are no lot from one source (ISO 2859-1 is not used).
"""

from fractions import Fraction
from math import comb


def chance_to_find(pool: int, sample: int, offenders: int) -> Fraction:
    """1 − C(N−D, n)/C(N, n): the chance that a sample holds at least one offender.

    Raises ValueError for a sample or offenders outside 0 to the pool.
    """
    if not (0 <= sample <= pool and 0 <= offenders <= pool):
        raise ValueError(f"Sample and offenders lie between 0 and the pool of {pool}.")
    return 1 - Fraction(comb(pool - offenders, sample), comb(pool, sample))


def chance_over_rounds(pool: int, sample: int, offenders: int, rounds: int) -> Fraction:
    """The same over independent draws, one each round."""
    return 1 - (1 - chance_to_find(pool, sample, offenders)) ** rounds


def chance_to_be_drawn(pool: int, sample: int, rounds: int) -> Fraction:
    """The chance that one given player is drawn at least once."""
    return chance_over_rounds(pool, sample, 1, rounds)


def sample_for(pool: int, offenders: int, wanted: Fraction) -> int | None:
    """The smallest sample that finds one of `offenders` with the wanted chance; None without an offender."""
    if offenders == 0:
        return None
    return next(n for n in range(pool + 1) if chance_to_find(pool, n, offenders) >= wanted)
