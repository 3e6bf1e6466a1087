"""Rating points per throw, and a round's rating from its scratch scoring average. Pure and exact.

Neither set of constants is the governing body's own: both were inferred from published results, so every
rating from here is an estimate. All arithmetic is on fractions, because ratings are rounded down and a
float such as 891.9999 for 892 would print one point too few.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction


@dataclass(frozen=True)
class Constants:
    """What turns a scratch scoring average (SSA) into ratings, from the rulebook.

    Points per throw are two straight pieces of the SSA over `full_round` holes: above `bend`
    upper_intercept + upper_slope * SSA, at and below it the lower pair. `scratch` is the rating of who
    throws the SSA; `cut_off` says whether ratings are rounded down or to the nearest.
    """

    name: str
    edition: str
    source: str
    bend: Fraction
    upper_slope: Fraction
    upper_intercept: Fraction
    lower_slope: Fraction
    lower_intercept: Fraction
    scratch: int
    full_round: int
    cut_off: bool


def points_per_throw(ssa: Fraction, constants: Constants, holes: int) -> Fraction:
    """Rating points that one throw is worth on a round with this scratch scoring average.

    A round of another number of holes is compared on a full one: SSA x 18 / holes gives the points, which
    count 18 / holes times as much (own derivation, no published source).
    """
    scale = Fraction(constants.full_round, holes)
    full = ssa * scale
    if full > constants.bend:
        points = constants.upper_intercept + constants.upper_slope * full
    else:
        points = constants.lower_intercept + constants.lower_slope * full
    return points * scale


def round_rating(ssa: Fraction, score: int, per_throw: Fraction, constants: Constants) -> int:
    """1000 + (SSA - score) x points per throw, rounded down (all 516 ratings compared were)."""
    exact = constants.scratch + (ssa - score) * per_throw
    return math.floor(exact if constants.cut_off else exact + Fraction(1, 2))


def to_places(value: Fraction, places: int) -> Decimal:
    """A fraction as a decimal with so many places, halves away from zero."""
    whole = math.floor(abs(value) * 10**places + Fraction(1, 2))
    return Decimal(-whole if value < 0 else whole).scaleb(-places)
