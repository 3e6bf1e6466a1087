"""The least-squares line against scipy."""

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from scoring.ratings.line import NoLine, least_squares

points = st.lists(st.tuples(st.integers(700, 1060), st.integers(42, 95)), min_size=3, max_size=60)


@settings(max_examples=60)
@given(points)
def test_slope_intercept_correlation_and_errors_agree_with_scipy(pairs: list[tuple[int, int]]) -> None:
    xs, ys = [x for x, _ in pairs], [y for _, y in pairs]
    assume(len(set(xs)) > 1)
    assume(len(set(ys)) > 1)

    line = least_squares(xs, ys)
    reference = stats.linregress(xs, ys)
    # The intercept of the line moved to x = 1000 is its value there, and its error the error we want.
    moved = stats.linregress([x - 1000 for x in xs], ys)

    assert float(line.slope) == pytest.approx(reference.slope, rel=1e-9, abs=1e-9)
    assert float(line.intercept) == pytest.approx(reference.intercept, rel=1e-9, abs=1e-9)
    assert line.r == pytest.approx(reference.rvalue, rel=1e-9, abs=1e-9)
    assert float(line.at(1000)) == pytest.approx(moved.intercept, rel=1e-9, abs=1e-9)
    if 1 - abs(reference.rvalue) > 1e-9:  # on an exact line scipy's own error is rounding noise
        assert line.standard_error_at(1000) == pytest.approx(moved.intercept_stderr, rel=1e-6, abs=1e-9)


def test_residual_deviation_of_a_worked_line() -> None:
    line = least_squares([0, 1, 2, 3], [1, 2, 2, 3])

    assert (line.slope, line.intercept, line.n) == (Fraction(3, 5), Fraction(11, 10), 4)
    assert line.residual_sd == pytest.approx((0.2 / 2) ** 0.5, rel=1e-12)
    assert line.at(10) == Fraction(71, 10)


def test_two_points_leave_no_freedom_for_an_error() -> None:
    line = least_squares([900, 1000], [70, 60])

    assert (line.at(1000), line.residual_sd, line.standard_error_at(1000)) == (60, None, None)


def test_equal_scores_have_a_line_but_no_correlation() -> None:
    line = least_squares([900, 950, 1000], [60, 60, 60])

    assert (line.slope, line.r, line.residual_sd) == (0, None, 0.0)


@pytest.mark.parametrize("xs", [[], [900], [900, 900, 900]])
def test_no_line_without_two_different_x(xs: list[int]) -> None:
    with pytest.raises(NoLine):
        least_squares(xs, [60] * len(xs))
