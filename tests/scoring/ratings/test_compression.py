"""Points per throw and the rounding of ratings."""

import math
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from build_ratings import FORMULA_2013, REFIT_2025
from scoring.ratings.compression import Constants, points_per_throw, round_rating, to_places

both = pytest.mark.parametrize("constants", [FORMULA_2013, REFIT_2025], ids=lambda c: c.name)


@both
def test_the_two_pieces_meet_at_the_bend(constants: Constants) -> None:
    at = points_per_throw(constants.bend, constants, 18)
    just_above = points_per_throw(constants.bend + Fraction(1, 10**12), constants, 18)

    assert float(at) == pytest.approx(float(just_above), abs=1e-6)


@both
def test_each_piece_is_used_on_its_side(constants: Constants) -> None:
    assert points_per_throw(Fraction(48), constants, 18) == Fraction("34.5734") - Fraction("0.487095") * 48
    assert points_per_throw(Fraction(60), constants, 18) == (
        constants.upper_intercept + constants.upper_slope * 60
    )


def test_a_whole_number_of_points_is_not_lost_to_floating_point() -> None:
    ssa = Fraction("64.8")

    per_throw = points_per_throw(ssa, REFIT_2025, holes=16)

    in_floats = 1000 + (64.8 - 84) * ((21.2 - 2 / 9 * (64.8 * 18 / 16)) * 18 / 16)
    assert (math.floor(in_floats), round_rating(ssa, 84, per_throw, REFIT_2025)) == (891, 892)


@pytest.mark.parametrize(
    ("cut_off", "ssa", "ratings"), [(True, "60.4", [1003, 994]), (False, "60.4", [1004, 995])]
)
def test_ratings_are_rounded_as_the_rulebook_says_on_both_sides_of_1000(
    cut_off: bool, ssa: str, ratings: list[int]
) -> None:
    constants = replace(REFIT_2025, cut_off=cut_off)

    assert [round_rating(Fraction(ssa), score, Fraction(9), constants) for score in (60, 61)] == ratings


@both
@given(ssa=st.fractions(45, 80, max_denominator=1000), score=st.integers(40, 100))
def test_nine_holes_of_half_the_average_rate_like_eighteen(
    constants: Constants, ssa: Fraction, score: int
) -> None:
    full = points_per_throw(ssa, constants, 18)
    half = points_per_throw(ssa / 2, constants, holes=9)

    assert half == 2 * full
    assert round_rating(ssa / 2, score, half, constants) == round_rating(ssa, 2 * score, full, constants)


@pytest.mark.parametrize(
    ("value", "shown"),
    [(Fraction(1, 3), "0.333"), (Fraction(1, 2000), "0.001"), (Fraction(-1, 2000), "-0.001"), (60, "60.000")],
)
def test_decimals_round_halves_away_from_zero(value: Fraction | int, shown: str) -> None:
    assert to_places(Fraction(value), 3) == Decimal(shown)
    assert str(to_places(Fraction(value), 3)) == shown
