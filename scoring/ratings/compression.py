"""Rating points per throw, and a round's rating from its scratch scoring average. Pure and exact.

Neither set of constants is the governing body's own: both were inferred from published results, so every
rating from here is an estimate. All arithmetic is on fractions, because ratings are rounded down and a
float such as 891.9999 for 892 would print one point too few.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

SCRATCH_RATING = 1000
FULL_ROUND = 18


@dataclass(frozen=True)
class Constants:
    """Points per throw as two straight pieces of the scratch scoring average (SSA) over 18 holes:
    above `bend` upper_intercept + upper_slope * SSA, at and below it the lower pair."""

    name: str
    source: str
    bend: Fraction
    upper_slope: Fraction
    upper_intercept: Fraction
    lower_slope: Fraction
    lower_intercept: Fraction


ANALYSIS_2013 = Constants(
    name="2013",
    source="players' forum analysis, 1 March 2013 (inferred from results, not an official formula)",
    bend=Fraction("50.3289725"),
    upper_slope=Fraction("-0.225067"),
    upper_intercept=Fraction("21.3858"),
    lower_slope=Fraction("-0.487095"),
    lower_intercept=Fraction("34.5734"),
)

# Fitted on averages of 58.9 to 66.2 only, where rounding down then gives all 516 published ratings. The
# lower piece is the 2013 one; the bend is where the two pieces meet, so that the whole stays continuous.
REFIT_2025 = Constants(
    name="2025 refit",
    source="refit on result records of five events of 2025 (inferred, published nowhere)",
    bend=(Fraction("34.5734") - Fraction("21.2")) / (Fraction("0.487095") - Fraction(2, 9)),
    upper_slope=Fraction(-2, 9),
    upper_intercept=Fraction("21.2"),
    lower_slope=Fraction("-0.487095"),
    lower_intercept=Fraction("34.5734"),
)


def points_per_throw(ssa: Fraction, constants: Constants, holes: int = FULL_ROUND) -> Fraction:
    """Rating points that one throw is worth on a round with this scratch scoring average.

    A round of another number of holes is compared on 18: SSA x 18 / holes gives the points, which count
    18 / holes times as much (own derivation, no published source).
    """
    scale = Fraction(FULL_ROUND, holes)
    full = ssa * scale
    if full > constants.bend:
        points = constants.upper_intercept + constants.upper_slope * full
    else:
        points = constants.lower_intercept + constants.lower_slope * full
    return points * scale


def round_rating(ssa: Fraction, score: int, per_throw: Fraction) -> int:
    """1000 + (SSA - score) x points per throw, rounded down (all 516 ratings compared were)."""
    return math.floor(SCRATCH_RATING + (ssa - score) * per_throw)


def to_places(value: Fraction, places: int) -> Decimal:
    """A fraction as a decimal with so many places, halves away from zero."""
    whole = math.floor(abs(value) * 10**places + Fraction(1, 2))
    return Decimal(-whole if value < 0 else whole).scaleb(-places)
