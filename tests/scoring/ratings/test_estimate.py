"""A round rated, refused or warned about."""

import random
from collections.abc import Collection
from dataclasses import replace
from fractions import Fraction

import pytest

from build_ratings import FIRST_DAY, REFIT_2025, RULES, played
from scoring.ratings.estimate import chosen_method, proportional_ssa, rate_round
from scoring.ratings.propagators import Finish, Played, Propagator, Reason
from scoring.ratings.round_rating import Choice, Method, Rated, RoundRating, Wanted


def rate(
    pool: list[Played],
    holes: int = 18,
    choice: Choice = Choice.LINE,
    ssa: Fraction | None = None,
    *,
    seed: int | None = None,
    let_in: Collection[str] = (),
) -> RoundRating:
    return rate_round(
        pool,
        rules=RULES,
        constants=REFIT_2025,
        first_day=FIRST_DAY,
        holes=holes,
        wanted=Wanted(choice, ssa),
        let_in=let_in,
        seed=seed,
    )


# On this line every 10 points are one throw: 63 at 1000.
ON_LINE = [played(str(rating), rating, 163 - rating // 10) for rating in (850, 900, 950, 980, 1020)]


def test_a_round_is_rated_with_its_working() -> None:
    rating = rate([*ON_LINE, played("new", None, 66), played("left", 900, None, Finish.NOT_FINISHED)])

    assert (rating.ssa, rating.ssa_se, rating.points_per_throw) == (63, 0.0, Fraction(36, 5))
    assert (rating.label, rating.warnings, rating.refused) == ("estimated", (), "")
    assert rating.ratings == (
        Rated("850", "Name 850", 78, 892),
        Rated("900", "Name 900", 73, 928),
        Rated("950", "Name 950", 68, 964),
        Rated("980", "Name 980", 65, 985),
        Rated("1020", "Name 1020", 61, 1014),
        Rated("new", "Name new", 66, 978),
    )
    assert [(e.key, e.reason) for e in rating.excluded] == [
        ("new", Reason.NO_RATING),
        ("left", Reason.NOT_FINISHED),
    ]
    assert rating.working == (
        "5 propagators.",
        "Method line: Chosen, not left to the field.",
        "Line: score = 163.000 − 0.10000 × rating.",
        "SSA = line at 1000 = 63.000, standard error 0.00.",
        "Points per throw = 7.2000 (2025 refit: Own analysis of published results of 2025; inferred from results,"
        " not an official formula).",
        "Rating = 1000 + (SSA − score) × points per throw, rounded down.",
    )


def test_the_order_of_the_pool_does_not_matter() -> None:
    pool = [played(str(n), 800 + 13 * n, 80 - n + n % 3) for n in range(15)]
    mixed = random.Random(5).sample(pool, len(pool))

    one, other = rate(pool), rate(mixed)

    assert (one.ssa, one.ssa_se, sorted(one.ratings, key=lambda r: r.key)) == (
        other.ssa,
        other.ssa_se,
        sorted(other.ratings, key=lambda r: r.key),
    )


@pytest.mark.parametrize(
    ("pool", "holes", "sentence"),
    [
        ([], 18, "Too few propagators to rate this round: 0 of at least 2."),
        (ON_LINE[:1], 18, "Too few propagators to rate this round: 1 of at least 2."),
        (ON_LINE, 12, "Rounds of fewer than 13 holes are not rated; this has 12."),
        (
            [played("a", 900, 60), played("b", 900, 66)],
            18,
            "All propagators have the same rating, so no line can be drawn.",
        ),
        (
            [played("a", 900, 110), played("b", 1000, 96)],
            18,
            "A scratch scoring average of 96.000 is outside every published range.",
        ),
    ],
)
def test_what_cannot_be_rated_is_refused_in_a_sentence(pool: list[Played], holes: int, sentence: str) -> None:
    rating = rate(pool, holes)

    assert (rating.refused, rating.ratings) == (sentence, ())


@pytest.mark.parametrize(
    ("pool", "holes", "warnings"),
    [
        (
            ON_LINE[:2],
            18,
            (
                "Only 2 propagators; official ratings take at least 5.",
                "Two propagators always lie on a line; how far off it may be is not known.",
            ),
        ),
        (ON_LINE[:4], 18, ("Only 4 propagators; official ratings take at least 5.",)),
        (
            [played(str(n), 900 + 10 * n, 60 + n) for n in range(5)],
            18,
            (
                "Higher-rated propagators did not need fewer throws; the line says little.",
                "5.64 points per throw is outside the published 7 to 13.",
            ),
        ),
        (
            [played(str(n), 900 + 10 * n, 66 + 6 * (n % 2) - n) for n in range(5)],
            18,
            ("The scratch scoring average may be off by 9.7 throws or more either way.",),
        ),
        (
            [played(str(r), r, 158 - r // 10) for r in (850, 900, 950, 980, 1020)],
            16,
            ("Scaled from 18 to 16 holes by our own rule; none is published.",),
        ),
    ],
)
def test_weak_estimates_carry_their_warnings(
    pool: list[Played], holes: int, warnings: tuple[str, ...]
) -> None:
    assert rate(pool, holes).warnings == warnings


def test_a_disqualified_player_is_not_rated_and_nothing_rests_on_them() -> None:
    rating = rate([*ON_LINE, played("dq", 1000, 20, Finish.DISQUALIFIED)])

    assert rating.ssa == 63
    assert [r.key for r in rating.ratings] == ["850", "900", "950", "980", "1020"]


def test_the_average_is_rounded_to_the_printed_thousandths_before_use() -> None:
    rating = rate([played("a", 900, 70), played("b", 950, 67), played("c", 970, 65)])

    assert rating.ssa == Fraction("63.179")  # 67 1/3 - 60 x 180/2600 = 63.17948…


def test_the_proportional_method_rests_on_means_and_needs_no_line() -> None:
    pool = [played("a", 900, 70), played("b", 900, 66)]

    rating = rate(pool, choice=Choice.PROPORTIONAL)

    assert (rating.ssa, rating.line, rating.ssa_se) == (Fraction("56.276"), None, None)
    assert rating.working[2:4] == (
        "SSA = mean score × 480 ÷ (1480 − mean rating) = 68.00 × 480 ÷ (1480 − 900.00) = 56.276.",
        "The 480 is inferred from results, published nowhere.",
    )


def test_the_proportional_average_needs_somebody() -> None:
    assert proportional_ssa([Propagator("a", "A", 1000, 61)], 1000, 480) == 61
    with pytest.raises(ValueError, match="at least one propagator"):
        proportional_ssa([], 1000, 480)


def test_a_player_given_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="stands twice"):
        rate([ON_LINE[0], ON_LINE[0]])


def test_a_fixed_average_rates_without_propagators_and_has_no_interval() -> None:
    pool = [played("new", None, 66)]

    rating = rate(pool, choice=Choice.FIXED, ssa=Fraction("58.40049"))

    assert (rating.method, rating.ssa, rating.ssa_se, rating.drawn) == (
        Method.FIXED,
        Fraction("58.4"),
        None,
        None,
    )
    assert rating.working[2] == "SSA = 58.400, typed in."
    assert [each.rating for each in rating.ratings] == [937]  # 1000 - 7.6 x 8.2222
    assert rate(pool, choice=Choice.FIXED).refused == "Type the scratch scoring average that is to be used."


@pytest.mark.parametrize(
    ("count", "step", "method", "why"),
    [
        (29, 10, Method.PROPORTIONAL, "A small field: 29 propagators; a free line is taken from 30 on."),
        (
            30,
            4,
            Method.PROPORTIONAL,
            "A narrow field: ratings spread by 35 points; a free line is taken from 40 on.",
        ),
        (30, 5, Method.LINE, "30 propagators whose ratings spread by 43 points carry a free line."),
    ],
)
def test_small_and_narrow_fields_get_the_one_parameter_line(
    count: int, step: int, method: Method, why: str
) -> None:
    field = [Propagator(str(at), "", 850 + step * at, 70) for at in range(count)]

    assert chosen_method(Choice.BY_FIELD, field, RULES) == (method, why)


def two_rounds(count: int, step: int = 10, later: int = 1) -> list[Played]:
    """So many players with two rounds each, the second so many throws worse."""
    rng = random.Random(11)
    noise = [rng.randint(-3, 3) for _ in range(count)]
    return [
        played(f"{at}-{number}", 850 + step * at, 70 - at // 2 + noise[at] + later * number, person=str(at))
        for at in range(count)
        for number in (0, 1)
    ]


def test_one_player_with_two_rounds_is_one_propagator() -> None:
    rating = rate(two_rounds(1))

    assert rating.refused == "Too few propagators to rate this round: 1 of at least 2."


def test_three_players_with_two_rounds_each_are_fewer_than_five() -> None:
    rating = rate(two_rounds(3))

    assert rating.warnings[0] == "Only 3 propagators, 6 rounds; official ratings take at least 5."
    assert rating.working[0] == "3 propagators, 6 rounds."


def test_twenty_players_with_two_rounds_each_are_a_small_field() -> None:
    rating = rate(two_rounds(20), choice=Choice.BY_FIELD)

    assert (rating.method, rating.people, len(rating.propagators)) == (Method.PROPORTIONAL, 20, 40)
    assert rating.why == "A small field: 20 propagators; a free line is taken from 30 on."


def test_the_error_of_a_line_over_several_rounds_is_that_of_the_players_drawn_anew() -> None:
    """A second round that says the same as the first is no second opinion: the error is that of the first alone."""
    alone = rate([each for each in two_rounds(40) if each.key.endswith("-0")], seed=7)
    joined = rate(two_rounds(40, later=0), seed=7)

    assert alone.line is not None
    assert joined.line is not None
    assert joined.drawn is not None
    assert joined.ssa == alone.ssa
    assert joined.ssa_se == joined.drawn.se
    assert joined.ssa_se == pytest.approx(alone.ssa_se, rel=0.25)
    narrow = joined.line.standard_error_at(1000)
    assert narrow is not None
    assert narrow < 0.8 * joined.ssa_se
    assert joined.working[3].endswith("with the players drawn anew, as some have several rounds.")


def test_without_a_seed_the_error_of_several_rounds_is_not_known() -> None:
    assert rate(two_rounds(40)).ssa_se is None


def test_a_rating_that_was_estimated_here_is_no_propagator() -> None:
    guess = replace(played("guess", 996, 40), estimated=True)

    rating = rate([*ON_LINE, guess])

    assert rating.ssa == 63
    assert [(each.key, each.reason, each.detail) for each in rating.excluded] == [
        ("guess", Reason.ESTIMATED, "996, from a history")
    ]
    assert "guess" in {each.key for each in rating.ratings}


def test_a_round_with_holes_not_played_is_rated_and_no_average_rests_on_it() -> None:
    late = replace(played("late", 980, 90), absent=2)

    rating = rate([*ON_LINE, late])

    assert rating.ssa == 63
    assert [(each.reason, each.detail) for each in rating.excluded] == [
        (Reason.HOLES_NOT_PLAYED, "2 holes scored for an absence")
    ]
    assert "late" in {each.key for each in rating.ratings}


def test_a_round_of_which_no_hole_was_played_is_not_rated() -> None:
    never = played("never", 980, 128, Finish.NOT_PLAYED)

    rating = rate([*ON_LINE, never])

    assert [each.reason for each in rating.excluded] == [Reason.NOT_PLAYED]
    assert "never" not in {each.key for each in rating.ratings}


def test_the_director_may_let_a_round_with_holes_not_played_count() -> None:
    late = replace(played("late", 980, 90), absent=1)

    rating = rate([*ON_LINE, late], let_in={"late"})

    assert "late" in {each.key for each in rating.propagators}
    assert rating.excluded == ()


def test_whom_the_director_leaves_out_is_no_propagator_but_is_rated() -> None:
    rating = rate_round(
        [*ON_LINE, played("hurt", 980, 90)],
        rules=RULES,
        constants=REFIT_2025,
        first_day=FIRST_DAY,
        holes=18,
        wanted=Wanted(Choice.LINE),
        left_out={"hurt": "played with a sprained ankle", "nobody": "x"},
    )

    assert rating.ssa == 63
    assert [(each.key, each.reason, each.detail) for each in rating.excluded] == [
        ("hurt", Reason.DIRECTOR, "played with a sprained ankle")
    ]
    assert "hurt" in {each.key for each in rating.ratings}
