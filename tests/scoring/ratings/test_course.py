"""What scores say about holes."""

import random
from decimal import Decimal
from fractions import Fraction

import pytest
from scipy import stats

from build_ratings import COURSE_RULES
from scoring.ratings.course import RoundPlayed, Verdict, advice, band_of, course_report
from scoring.ratings.course_picture import LEFT, RIGHT, WIDTH, averages, separation


def field(count: int = 60, seed: int = 3) -> list[RoundPlayed]:
    """Hole 1 goes by rating, hole 2 by chance, hole 3 is always a 3, hole 4 punishes the better ones."""
    rng = random.Random(seed)
    rounds = []
    for at in range(count):
        rating = 800 + (at * 37) % 230
        by_rating = 3 + (rating < 960) + (rating < 860)
        rounds.append(RoundPlayed(rating, (by_rating, rng.choice((3, 4)), 3, 7 - by_rating)))
    return rounds


def report(rounds: list[RoundPlayed]):  # type: ignore[no-untyped-def]
    return course_report(["1", "2", "3", "4"], [4, 3, 3, 4], rounds, COURSE_RULES)


def test_each_hole_gets_its_verdict() -> None:
    assert [hole.verdict for hole in report(field()).holes] == [
        Verdict.SEPARATES,
        Verdict.LITTLE,
        Verdict.LITTLE,
        Verdict.WRONG_WAY,
    ]
    assert {hole.verdict for hole in report(field(19)).holes} == {Verdict.FEW}


def test_figures_agree_with_scipy() -> None:
    rounds = field()
    hole = report(rounds).holes[0]
    ratings, throws = [each.rating for each in rounds], [each.throws[0] for each in rounds]
    outside = stats.linregress(ratings, throws)

    assert hole.average == Fraction(sum(throws), len(throws))
    assert hole.r == pytest.approx(outside.rvalue)
    assert hole.per_100 == pytest.approx(-100 * outside.slope)
    assert hole.chance == pytest.approx(outside.pvalue, rel=1e-6, abs=1e-14)
    assert hole.spread == pytest.approx(stats.tstd(throws))


def test_holes_that_are_no_play_are_left_out_and_their_rounds_of_the_totals() -> None:
    """A round on three of four holes says as much of these three, and nothing of the whole."""
    rounds = field()
    late = RoundPlayed(900, (None, 9, 3, 3))

    found = report([*rounds, late])

    assert [hole.rounds for hole in found.holes] == [60, 61, 61, 61]
    assert found.holes[0].average == report(rounds).holes[0].average
    assert found.holes[1].average > report(rounds).holes[1].average
    assert (found.rounds, found.whole, found.left_out) == (61, 60, 1)
    assert (found.total_average, found.total_r) == (report(rounds).total_average, report(rounds).total_r)


def test_a_hole_that_nobody_played_is_not_in_the_report() -> None:
    found = report([RoundPlayed(900, (3, None, 3, 4)), RoundPlayed(950, (None, None, None, None))])

    assert [hole.label for hole in found.holes] == ["1", "3", "4"]
    assert (found.rounds, found.total_average) == (1, None)
    assert report([RoundPlayed(900, (None, None, None, None))]) is None


def test_a_hole_that_everybody_throws_alike_has_no_correlation() -> None:
    hole = report(field()).holes[2]
    assert (hole.r, hole.per_100, hole.chance, hole.spread, hole.counts) == (
        None,
        None,
        None,
        0.0,
        ((3, 60),),
    )


@pytest.mark.parametrize(
    ("rating", "band"),
    [(1040, "gold"), (970, "gold"), (969, "blue"), (925, "blue"), (924, "white"), (875, "white"),
     (874, "red"), (825, "red"), (824, "green"), (1, "green")],
)  # fmt: skip
def test_bands_begin_where_the_guidelines_say(rating: int, band: str) -> None:
    """Course Design Player Skill Level Guidelines, 2018."""
    assert band_of(rating, COURSE_RULES).name == band


@pytest.mark.parametrize(
    ("scores", "par", "close"),
    [
        ([3, 3, 3, 3, 3], 3, None),
        ([3, 3, 3, 3, 4], 3, None),
        ([3, 3, 3, 4, 4], 3, 4),
        ([3, 3, 4, 4, 4], 4, 3),
        ([3, 4, 4, 4, 4], 4, None),
        ([1, 1, 2, 2, 2], 2, None),
        ([3, 3, 4, 4], None, None),
    ],
)
def test_par_advice_is_the_average_rounded_and_says_when_it_is_close(
    scores: list[int], par: int | None, close: int | None
) -> None:
    found = advice("blue", scores, COURSE_RULES)
    assert (found.par, found.close) == (par, close)
    assert Decimal("0.15") == COURSE_RULES.close


def test_rounds_without_a_rating_count_in_the_average_alone() -> None:
    found = report([*field(), RoundPlayed(None, (9, 9, 9, 9))])
    assert (found.rounds, found.rated) == (61, 60)
    assert found.holes[2].average == Fraction(3 * 60 + 9, 61)
    assert sum(each.rounds for each in found.holes[0].bands) == 60
    assert [words for _, words, _ in found.bands] == [
        "970 and up",
        "925 to 969",
        "875 to 924",
        "825 to 874",
        "below 825",
    ]


def test_no_round_is_no_report_and_a_round_of_another_length_is_refused() -> None:
    assert report([]) is None
    with pytest.raises(ValueError, match="a place for each hole"):
        report([RoundPlayed(900, (3, 3))])


def test_the_drawings_hold_every_hole_and_say_in_words_what_they_show() -> None:
    found = report(field())
    above, below = averages(found), separation(found)
    assert len(above.holes) == len(below.holes) == 4
    assert all(LEFT <= mark.x <= WIDTH - RIGHT and 0 <= mark.y <= above.bottom for mark in above.marks)
    assert [bar.kind for bar in below.bars] == ["sure", "unsure", "wrong"]
    assert below.label == "Throws that 100 points save. Holes that tell players apart: 1."
    assert {mark.path[0] for mark in above.marks} == {"M"}


def test_drawings_of_a_single_round_are_drawn_all_the_same() -> None:
    found = report([RoundPlayed(None, (3, 3, 3, 3))])
    assert [mark.shape for mark in averages(found).marks] == ["dash"] * 4  # everybody, and no band
    assert separation(found).bars == ()
