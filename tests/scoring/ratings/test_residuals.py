"""How propagators lie to the line in use; statsmodels is the reference in tests/published."""

import pytest

from build_ratings import FIRST_DAY, FORMULA_2013, RULES, played
from scoring.ratings.estimate import rate_round
from scoring.ratings.residuals import Lying, lying
from scoring.ratings.round_rating import Choice, Wanted

FIELD = [(800 + 8 * at, 80 - at + (at % 3)) for at in range(30)]


def rows(field: list[tuple[int, int]], choice: Choice) -> tuple[Lying, ...]:
    rated = rate_round(
        [played(str(at), rating, score) for at, (rating, score) in enumerate(field)],
        rules=RULES,
        constants=FORMULA_2013,
        first_day=FIRST_DAY,
        holes=18,
        wanted=Wanted(choice),
    )
    return lying(rated, scratch=1000, proportion=RULES.proportion, outlier=RULES.outlier)


@pytest.mark.parametrize("choice", [Choice.LINE, Choice.PROPORTIONAL])
def test_a_strange_score_is_an_outlier_and_stands_first(choice: Choice) -> None:
    found = rows([*FIELD, (930, 95)], choice)

    assert (found[0].key, found[0].outlier, sum(each.outlier for each in found)) == ("30", True, 1)
    assert found[0].residual == pytest.approx(95 - found[0].expected)
    assert (found[0].leverage is None) is (choice is Choice.PROPORTIONAL)


def test_the_pull_of_all_on_a_line_adds_up_to_its_two_figures() -> None:
    assert sum(each.leverage or 0 for each in rows(FIELD, Choice.LINE)) == pytest.approx(2)


def test_the_one_parameter_line_expects_more_of_lower_ratings_in_proportion() -> None:
    found = {each.rating: each for each in rows(FIELD, Choice.PROPORTIONAL)}

    assert found[808].expected / found[1000].expected == pytest.approx(1 + 192 / 480)


def test_points_on_a_line_have_no_spread_and_no_outlier() -> None:
    found = rows([(900, 70), (950, 65), (1000, 60)], Choice.LINE)

    assert [(each.deviations, each.outlier) for each in found] == [(None, False)] * 3


def test_a_refused_pool_has_no_residuals() -> None:
    assert rows([(900, 70)], Choice.LINE) == ()
