"""Whether rounds of one layout may share an average."""

import pandas as pd
import pytest
import statsmodels.api as sm
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.anova import AnovaRM

from scoring.ratings.joining import differ
from scoring.ratings.propagators import Propagator
from scoring.ratings.student import f_above, t_both_sides, t_quantile

rounds = st.lists(
    st.lists(st.tuples(st.integers(750, 1040), st.integers(50, 85)), min_size=3, max_size=20),
    min_size=2,
    max_size=4,
)


def named(pairs: list[tuple[int, int]], prefix: str) -> list[Propagator]:
    return [
        Propagator(f"{prefix}{at}", "", rating, score, f"{prefix}{at}")
        for at, (rating, score) in enumerate(pairs)
    ]


@given(rounds)
def test_the_test_of_nested_lines_agrees_with_statsmodels(pairs: list[list[tuple[int, int]]]) -> None:
    found = differ({number: named(each, f"{number}-") for number, each in enumerate(pairs)})
    rows = [(number, *pair) for number, each in enumerate(pairs) for pair in each]
    assume(found.f is not None)
    y = [score for _, _, score in rows]
    small = sm.OLS(y, [[1.0, rating - 900] for _, rating, _ in rows]).fit()
    large = sm.OLS(
        y, [[rating - 900, *(float(n == number) for n in range(len(pairs)))] for number, rating, _ in rows]
    ).fit()
    assume(small.ssr > 1e-6 and len({rating for _, rating, _ in rows}) > 1)
    f, chance, more = large.compare_f_test(small)

    assert (found.upper, found.lower) == (int(more), len(rows) - len(pairs) - 1)
    assert found.f == pytest.approx(max(f, 0.0), rel=1e-6, abs=1e-8)
    assert found.chance == pytest.approx(chance, rel=1e-5, abs=1e-8)


def test_players_of_both_rounds_are_compared_with_themselves() -> None:
    first = [(900, 66), (950, 62), (880, 70), (1000, 59)]
    second = [(900, 69), (950, 64), (880, 72), (1000, 63)]
    found = differ({1: named(first, "p"), 2: named(second, "p")})
    reference = stats.ttest_rel([s for _, s in second], [s for _, s in first])

    assert found.shared is not None
    assert (found.shared.players, found.shared.means) == (4, ((1, 64.25), (2, 67.0)))
    assert found.shared.chance == pytest.approx(reference.pvalue, rel=1e-9)
    assert found.differs(5) is True
    assert found.words.startswith(
        "4 propagators threw all of these rounds, on average 64.25 in round 1, 67.00 in round 2; by chance"
    )


def test_three_rounds_of_the_same_players_agree_with_statsmodels() -> None:
    """Repeated measures. Who missed a round is left out of the comparison."""
    scores = [[66, 69, 64], [62, 64, 63], [70, 72, 66], [59, 63, 60], [75, 74, 71]]
    rounds = {
        number: named([(800 + 40 * at, row[number - 1]) for at, row in enumerate(scores)], "p")
        for number in (1, 2, 3)
    }
    rounds[2].append(Propagator("late", "", 900, 99, "late"))
    rows = [
        {"player": at, "round": number, "score": score}
        for at, row in enumerate(scores)
        for number, score in enumerate(row)
    ]
    table = AnovaRM(pd.DataFrame(rows), "score", "player", within=["round"]).fit().anova_table
    found = differ(rounds)

    assert found.shared is not None
    assert found.shared.players == 5
    assert found.shared.f == pytest.approx(table["F Value"].iloc[0], rel=1e-9)
    assert found.shared.chance == pytest.approx(table["Pr > F"].iloc[0], rel=1e-9)


def test_rounds_of_other_players_are_compared_by_their_lines() -> None:
    found = differ({1: named([(900, 66), (950, 62), (880, 70)], "a"), 2: named([(900, 66), (951, 61)], "b")})

    assert found.shared is None
    assert found.differs(5) is False
    assert found.words.startswith("A line for each round fits better")


@pytest.mark.parametrize(
    "rounds",
    [{}, {1: [(900, 60)]}, {1: [(900, 60)], 2: [(900, 60)]}, {1: [(900, 60)] * 3, 2: [(900, 61)] * 3}],
)
def test_too_little_is_not_known(rounds: dict[int, list[tuple[int, int]]]) -> None:
    found = differ({number: named(pairs, str(number)) for number, pairs in rounds.items()})

    assert (found.differs(5), found.words) == (
        None,
        "There are too few propagators to test whether the rounds differ.",
    )


@given(st.floats(0.01, 60), st.integers(1, 200), st.integers(1, 12))
def test_the_distributions_agree_with_scipy(value: float, lower: int, upper: int) -> None:
    assert t_both_sides(value, lower) == pytest.approx(2 * stats.t.sf(value, lower), rel=1e-8, abs=1e-14)
    assert f_above(value, upper, lower) == pytest.approx(stats.f.sf(value, upper, lower), rel=1e-8, abs=1e-14)


@pytest.mark.parametrize("percent", [50, 90, 95, 99])
@pytest.mark.parametrize("freedom", [1, 2, 10, 57])
def test_the_quantile_agrees_with_scipy(percent: int, freedom: int) -> None:
    assert t_quantile(percent, freedom) == pytest.approx(stats.t.ppf(0.5 + percent / 200, freedom), rel=1e-9)


def test_nothing_is_above_nothing() -> None:
    assert (f_above(0, 2, 3), t_both_sides(0, 4)) == (1.0, 1.0)
