"""Published ratings recomputed, and every fit against outside libraries.

Where a source prints only official ratings and scratch scoring averages (SSA), those are what is checked; the
players behind them are not published, so the fits are checked against scipy and statsmodels on made-up fields.
"""

import warnings
from collections.abc import Sequence
from datetime import date
from fractions import Fraction

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.outliers_influence import OLSInfluence
from statsmodels.tools.sm_exceptions import ConvergenceWarning, SingularMatrixWarning

from build_ratings import FIRST_DAY, FORMULA_2013, PLAYER_RULES, REFIT_2025, RULES, history, played
from scoring.ratings.compression import points_per_throw, round_rating, to_places
from scoring.ratings.estimate import proportional_ssa, rate_round
from scoring.ratings.line import Line, least_squares
from scoring.ratings.player import Past, PlayerRating, Use, rate_player
from scoring.ratings.propagators import Propagator
from scoring.ratings.residuals import lying
from scoring.ratings.robust import huber, theil_sen
from scoring.ratings.round_rating import Choice, RoundRating, Wanted

pytestmark = pytest.mark.published

FORUM_LINE = Line(
    slope=Fraction("-0.12196922"),
    intercept=Fraction("182.4463478"),
    n=0,
    r=None,
    residual_sd=None,
    mean_x=Fraction(0),
    sxx=Fraction(1),
)


def rating(ssa: str, score: int, constants: str = "refit") -> int:
    chosen = REFIT_2025 if constants == "refit" else FORMULA_2013
    return round_rating(Fraction(ssa), score, points_per_throw(Fraction(ssa), chosen, 18), chosen)


def test_the_published_line_gives_its_average_at_1000() -> None:
    """Players' forum analysis, 1 March 2013, round 1: SSA 60.47712771, 7.774394 points a throw."""
    ssa = FORUM_LINE.at(1000)

    assert float(ssa) == pytest.approx(60.47712771, abs=1e-6)
    assert to_places(points_per_throw(ssa, FORMULA_2013, 18), 6) == to_places(Fraction("7.774394"), 6)


@pytest.mark.parametrize(
    ("score", "by_line", "by_points", "rounded_down"),
    [
        (48, "1102.30", "1097.00", 1097),
        (54, "1053.10", "1050.36", 1050),
        (60, "1003.91", "1003.71", 1003),
        (66, "954.72", "957.06", 957),
        (72, "905.53", "910.42", 910),
        (78, "856.33", "863.77", 863),
    ],
)
def test_ratings_follow_the_points_formula_and_not_the_line(
    score: int, by_line: str, by_points: str, rounded_down: int
) -> None:
    """Players' forum analysis, 1 March 2013; the cells are derived from its line and formula."""
    ssa = FORUM_LINE.at(1000)
    per_throw = points_per_throw(ssa, FORMULA_2013, 18)

    assert str(to_places((score - FORUM_LINE.intercept) / FORUM_LINE.slope, 2)) == by_line
    assert str(to_places(1000 + (ssa - score) * per_throw, 2)) == by_points
    assert round_rating(ssa, score, per_throw, FORMULA_2013) == rounded_down


@pytest.mark.parametrize(("ssa", "score", "official"), [("58", 45, 1108), ("57.5", 45, 1105)])
@pytest.mark.parametrize("constants", ["2013", "refit"])
def test_official_ratings_of_low_rounds(ssa: str, score: int, official: int, constants: str) -> None:
    """ "Fair Ways for Statistics: Part 3" (2018), class SSA 54 to 60."""
    assert rating(ssa, score, constants) == official


@pytest.mark.parametrize(
    ("ssa", "official", "constants", "reached"),
    [
        ("57.5", 1113, "2013", True),
        ("57.5", 1113, "refit", True),
        ("57.2", 1111, "2013", False),
        ("57.2", 1111, "refit", True),
    ],
)
def test_official_ratings_lie_within_the_tenth_that_the_average_is_printed_to(
    ssa: str, official: int, constants: str, reached: bool
) -> None:
    """Same article, score 44. SSA is printed to a tenth only, so any thousandth within half a tenth may
    be meant. At 57.5 itself the 2013 formula gives 1114.00004, one point above the official figure; at
    57.2 it reaches 1111 nowhere in the tenth, the refit does: a weak check, and said to be one."""
    middle = Fraction(ssa)
    near = [str(float(middle + Fraction(step, 1000))) for step in range(-50, 50)]

    assert (official in {rating(one, 44, constants) for one in near}) is reached


RECORDS = [
    # Result records of 2025 with SSA and official ratings, layouts of five events, numbers only.
    ("66.027", {63: 1019, 64: 1013, 65: 1006, 66: 1000, 67: 993, 68: 987, 70: 974, 72: 961}),
    ("66.027", {75: 941, 78: 921, 82: 895, 89: 850}),  # the same round, its higher scores
    ("65.758", {62: 1024, 63: 1018, 64: 1011, 65: 1004, 67: 991, 70: 972, 75: 939, 80: 906, 88: 853}),
    ("63.168", {64: 994, 75: 915, 96: 764}),
    ("65.892", {61: 1032, 66: 999, 93: 822}),
    ("63.221", {57: 1044, 63: 1001, 86: 837}),
    ("64.391", {68: 975, 76: 920, 105: 720}),
    ("58.907", {67: 934, 75: 869, 83: 804}),
    ("65.987", {74: 947, 95: 810}),
    ("66.194", {72: 962, 89: 851}),
    ("58.1665", {54: 1034, 58: 1001, 59: 993, 65: 943, 80: 819}),
    ("63.096", {50: 1094, 57: 1043, 63: 1000, 76: 907}),
]


@pytest.mark.parametrize(("ssa", "official"), RECORDS)
def test_official_ratings_of_2025_come_out_rounded_down(ssa: str, official: dict[int, int]) -> None:
    """Result records of sanctioned events, 2025. The constants of the refit were chosen on most of these
    records, so the last two rows alone are out of sample."""
    assert {score: rating(ssa, score) for score in official} == official


@pytest.mark.parametrize(("ssa", "official"), RECORDS)
def test_the_2013_formula_misses_the_same_records_by_a_point_at_most(
    ssa: str, official: dict[int, int]
) -> None:
    """Same records, with the constants of the players' forum analysis of 1 March 2013."""
    assert max(abs(rating(ssa, score, "2013") - figure) for score, figure in official.items()) <= 1


@pytest.mark.parametrize(
    ("slope", "intercept", "at_1000", "mean_score"),
    [("-0.11776", "184.857", 67.096, 73.53), ("-0.14489", "210.267", 65.379, 73.30)],
)
def test_a_recorded_line_passes_through_its_means(
    slope: str, intercept: str, at_1000: float, mean_score: float
) -> None:
    """Result record of one event of 2025, 60 players, mean rating 945.3. Slopes are kept to five digits, so
    a point of the line is known to about 0.01 throws."""
    line = Line(Fraction(slope), Fraction(intercept), 60, None, None, Fraction("945.3"), Fraction(1))

    assert float(line.at(1000)) == pytest.approx(at_1000, abs=0.006)
    assert float(line.at(Fraction("945.3"))) == pytest.approx(mean_score, abs=0.011)


@pytest.mark.parametrize(("mean_score", "official"), [(7353, 66.027), (7330, 65.758)])
def test_the_proportional_method_comes_near_the_average_in_use(mean_score: int, official: float) -> None:
    """Same record; the method is inferred, published nowhere, and was at most 0.17 throws off. It rests on
    means alone, so a hundred made-up players with the recorded mean score and mean rating stand for them."""
    field = [
        Propagator(str(n), "", 945 + (n < 30), mean_score // 100 + (n < mean_score % 100)) for n in range(100)
    ]

    assert float(proportional_ssa(field, 1000, RULES.proportion)) == pytest.approx(official, abs=0.17)


@pytest.mark.parametrize("constants", [FORMULA_2013, REFIT_2025], ids=lambda each: each.name)
def test_a_throw_is_worth_seven_to_thirteen_points(constants: object) -> None:
    """Ratings questions and answers for events of 2017. The lower piece reaches 13 at an SSA of 44.29."""
    assert float(points_per_throw(Fraction("44.29"), constants, 18)) == pytest.approx(13, abs=0.001)  # type: ignore[arg-type]
    assert 6.9 < float(points_per_throw(Fraction("63.9"), constants, 18)) < 7.1  # type: ignore[arg-type]


def test_a_top_score_of_2013_implies_its_average() -> None:
    """Published: 39 throws rated 1132 (March 2013). The formula of that year then asks for an SSA of about 53.0."""
    assert rating("53.0", 39, "2013") == pytest.approx(1132, abs=2)


# --- Player ratings (four histories of which a source gives the sums, not the rounds) ---------------------------


def made_up(
    counted: int,
    total: int,
    doubled: int,
    of_newest: int,
    low: int | None = None,
    before: Sequence[Past] = (),
) -> PlayerRating:
    """A history with the published sums: `counted` rounds adding up to `total`, the newest `doubled` of them to
    `of_newest`; `low` is one more round, far below, among the older ones; `before` them are others."""
    older = _adding_up(total - of_newest, counted - doubled)
    newest = _adding_up(of_newest, doubled)
    rounds = [*([low] if low is not None else []), *older, *newest]
    return rate_player([*before, *history(rounds, apart=5)], PLAYER_RULES)


def _adding_up(total: int, count: int) -> list[int]:
    return [total // count + (at < total % count) for at in range(count)]


def test_a_history_with_a_round_left_out() -> None:
    """Example 1: 39 rounds, 32 in the window, 828 left out (mean of 32 = 935.625), 31 used, mean 939.097, with 8
    doubled 941.97; the official rating is given as 942 or 944. The spread of 37.27 is not given round by round, so
    only the bound of 100 points is at work here: 835.6, as the source has it. The seven others are older than 12
    months; what they were is not given, so they are made up, and must not matter."""
    before = history([1010] * 7, last=date(2024, 5, 31))
    found = made_up(31, 29112, 8, 36737 - 29112, low=828, before=before)

    assert len(found.rounds) == 39
    assert [each.use for each in found.rounds].count(Use.OLD) == 7
    assert [each.use for each in found.rounds].count(Use.DROPPED) == 1
    assert Fraction(29112 + 828, 32) == Fraction("935.625")
    assert float(Fraction(29112, 31)) == pytest.approx(939.097, abs=0.0005)
    assert [each.past.rating for each in found.rounds if each.use is Use.DROPPED] == [828]
    assert (found.counted, found.count(Use.DOUBLE)) == (31, 8)
    assert found.exact is not None
    assert float(found.exact) == pytest.approx(941.97, abs=0.005)
    assert found.rating == 942


@pytest.mark.parametrize(
    ("counted", "mean", "doubled", "with_double", "given"),
    [
        (17, "959.118", 5, "959.91", 960),
        (53, "1035.245", 14, "1035.12", 1036),
        (40, "903.300", 10, "902.90", 903),
    ],
)
def test_histories_of_which_nothing_is_left_out(
    counted: int, mean: str, doubled: int, with_double: str, given: int
) -> None:
    """Examples 2 to 4: rounds, their mean, the mean with the newest quarter doubled, and the rating that was given."""
    total = round(Fraction(mean) * counted)
    newest = round(Fraction(with_double) * (counted + doubled)) - total

    found = made_up(counted, total, doubled, newest)

    assert to_places(Fraction(total, counted), 3) == to_places(Fraction(mean), 3)
    assert (found.counted, found.count(Use.DOUBLE)) == (counted, doubled)
    assert found.exact is not None
    assert to_places(found.exact, 2) == to_places(Fraction(with_double), 2)
    assert found.rating == given


# --- Fits against outside libraries -----------------------------------------------------------------------------

fields = st.lists(st.tuples(st.integers(700, 1060), st.integers(45, 95)), min_size=5, max_size=60)
AGREE = {"rel": 1e-9, "abs": 1e-9}


def rated(field: list[tuple[int, int]]) -> RoundRating:
    return rate_round(
        [played(str(at), rating, score) for at, (rating, score) in enumerate(field)],
        rules=RULES,
        constants=FORMULA_2013,
        first_day=FIRST_DAY,
        holes=18,
        wanted=Wanted(Choice.LINE),
    )


@settings(max_examples=60)
@given(fields)
def test_the_line_is_that_of_scipy_and_statsmodels(field: list[tuple[int, int]]) -> None:
    """scipy.stats.linregress, and statsmodels OLS for the standard error of the value at 1000."""
    x, y = np.array([r for r, _ in field], float), np.array([s for _, s in field], float)
    assume(x.std() > 5)
    line = least_squares([r for r, _ in field], [s for _, s in field])
    by_scipy = stats.linregress(x, y)
    model = sm.OLS(y, sm.add_constant(x - 1000)).fit()
    assume(model.ssr > 1e-6)

    assert float(line.slope) == pytest.approx(by_scipy.slope, **AGREE)
    assert float(line.intercept) == pytest.approx(by_scipy.intercept, **AGREE)
    assert float(line.at(1000)) == pytest.approx(model.params[0], **AGREE)
    assert line.standard_error_at(1000) == pytest.approx(model.bse[0], **AGREE)


@settings(max_examples=40)
@given(fields)
def test_residuals_and_leverage_are_those_of_statsmodels(field: list[tuple[int, int]]) -> None:
    """statsmodels OLSInfluence: external studentised residuals and hat values."""
    x, y = np.array([r for r, _ in field], float), np.array([s for _, s in field], float)
    assume(x.std() > 5)
    rating = rated(field)
    assume(not rating.refused)
    model = sm.OLS(y, sm.add_constant(x - x.mean())).fit()
    assume(model.ssr > 1)
    outside = OLSInfluence(model)
    rows = {
        each.key: each
        for each in lying(rating, scratch=1000, proportion=RULES.proportion, outlier=RULES.outlier)
    }

    with warnings.catch_warnings(), np.errstate(divide="ignore", invalid="ignore"):
        # Without one player the others may lie on the line, or all at one rating: statsmodels warns, ours says None.
        warnings.simplefilter("ignore", SingularMatrixWarning)
        deviations = outside.resid_studentized_external

    for at, expected in enumerate(deviations):
        row = rows[str(at)]
        assert row.leverage == pytest.approx(outside.hat_matrix_diag[at], rel=1e-7, abs=1e-9)
        others = np.delete(x, at), np.delete(y, at)
        if others[0].std() < 1e-9 or np.polyfit(*others, 1, full=True)[1].sum() < 1e-6:
            assert row.deviations is None
        else:
            assert row.deviations == pytest.approx(expected, rel=1e-6, abs=1e-7)


@settings(max_examples=40)
@given(fields)
def test_the_second_opinions_are_those_of_statsmodels_and_scipy(field: list[tuple[int, int]]) -> None:
    """statsmodels RLM with Huber's norm and the median absolute deviation; scipy.stats.theilslopes."""
    x, y = [r for r, _ in field], [s for _, s in field]
    assume(
        np.std(x) > 5 and len(set(x)) > len(x) / 2 and len(set(y)) > 2
    )  # scipy's own interval wants few ties
    slopes = stats.theilslopes(np.array(y, float), np.array(x, float) - 1000)
    ours = theil_sen(x, y, 1000)
    assert ours.slope == pytest.approx(slopes.slope, **AGREE)
    assert ours.ssa == pytest.approx(slopes.intercept, **AGREE)

    design = sm.add_constant(np.array(x, float) - 1000)
    spread = np.abs(sm.OLS(np.array(y, float), design).fit().resid)
    assume(np.median(spread) > 0.5)
    model = sm.RLM(np.array(y, float), design, M=sm.robust.norms.HuberT(t=1.345))
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore", ConvergenceWarning
        )  # a perfect fit, which is left out in the next line
        outside = model.fit(conv="coefs", tol=1e-12, maxiter=500)
    assume(outside.fit_history["iteration"] < 500 and outside.scale > 0.1)
    assert huber(x, y, 1000).ssa == pytest.approx(outside.params[0], rel=1e-6)


@settings(max_examples=40)
@given(fields)
def test_the_one_parameter_line_lies_between_the_ratios_of_its_players(field: list[tuple[int, int]]) -> None:
    """statsmodels OLS without constant, weighted by the expected share: the ratio of means is its exact solution."""
    share = np.array([(1480 - r) / 480 for r, _ in field])
    y = np.array([s for _, s in field], float)
    outside = sm.WLS(y, share, weights=1 / share).fit().params[0]
    people = [Propagator(str(at), "", r, s) for at, (r, s) in enumerate(field)]

    assert float(proportional_ssa(people, 1000, 480)) == pytest.approx(outside, **AGREE)
