"""A player's rating from a history: window, double rounds, rounds left out."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from build_ratings import PLAYER_RULES, history
from scoring.ratings.player import Past, Use, rate_player


def uses(ratings: list[int | None], **facts: object) -> list[Use]:
    """The use of each round, in the order of the history (the oldest first)."""
    found = rate_player(history(ratings, **facts), PLAYER_RULES)  # type: ignore[arg-type]
    return [each.use for each in reversed(found.rounds)]


def test_eight_rounds_count_once_and_nine_have_their_newest_three_doubled() -> None:
    assert uses([900] * 8) == [Use.COUNTS] * 8
    assert uses([900] * 9) == [Use.COUNTS] * 6 + [Use.DOUBLE] * 3  # a quarter of nine, rounded up


def test_the_result_is_rounded_up() -> None:
    found = rate_player(history([900, 900, 901]), PLAYER_RULES)
    assert (found.exact, found.rating, found.label) == (Fraction(2701, 3), 901, "estimated")


def test_a_round_a_year_before_the_latest_counts_and_one_a_day_older_does_not() -> None:
    latest = date(2025, 6, 1)
    rounds = [Past(latest - timedelta(days=at), -at, 900) for at in range(8)]
    edge, older = Past(date(2024, 6, 1), 0, 980), Past(date(2024, 5, 31), 0, 990)
    found = rate_player([older, edge, *rounds], PLAYER_RULES)
    by = {each.past: each.use for each in found.rounds}
    assert (by[edge], by[older], found.since) == (Use.COUNTS, Use.OLD, date(2024, 6, 1))


def test_fewer_than_eight_in_a_year_go_back_until_eight_are_found() -> None:
    """Every 60 days: seven in the last year, so the eighth is taken from before it, and no ninth."""
    assert uses([900] * 12, apart=60) == [Use.OLD] * 4 + [Use.COUNTS] * 8


def test_nothing_older_than_two_years_is_taken() -> None:
    assert uses([900] * 6, apart=300) == [Use.OLD] * 3 + [Use.COUNTS] * 3


@pytest.mark.parametrize(
    ("low", "use"), [(899 - 100, Use.DROPPED), (860, Use.COUNTS), (1100, Use.COUNTS)], ids=str
)
def test_a_round_far_below_is_left_out_and_one_far_above_is_not(low: int, use: Use) -> None:
    wide = [870, 930] * 12
    assert uses([low, *wide])[0] is use


def test_two_and_a_half_deviations_leave_a_round_out_though_it_is_within_100_points() -> None:
    assert uses([860, *[900] * 20])[0] is Use.DROPPED


def test_of_six_rounds_none_is_left_out() -> None:
    assert uses([700, *[900] * 5])[0] is Use.COUNTS
    assert uses([700, *[900] * 6])[0] is Use.DROPPED


def test_unrated_rounds_are_shown_and_say_nothing() -> None:
    found = rate_player(history([900, None, 910]), PLAYER_RULES)
    assert (found.rating, found.counted, found.count(Use.UNRATED)) == (905, 2, 1)


def test_no_rated_round_is_no_rating() -> None:
    found = rate_player(history([None]), PLAYER_RULES)
    assert (found.rating, found.exact, found.working) == (None, None, ("No rated round is known.",))
    assert rate_player([], PLAYER_RULES).rounds == ()


def test_the_working_names_every_step() -> None:
    found = rate_player(history([780, *[900] * 11]), PLAYER_RULES)
    assert found.working == (
        "12 rated rounds from 2025-03-16 to 2025-06-01.",
        "Left out below 807.1 (2.5 standard deviations or 100 points under the average): 1.",
        "The newest 3 of 11 count double.",
        "Average 900.00, rounded up.",
    )


@given(st.lists(st.integers(700, 1050), min_size=1, max_size=40), st.randoms(use_true_random=False))
def test_the_order_of_the_list_changes_nothing(ratings: list[int], mixer: object) -> None:
    rounds = history(ratings)
    mixed = mixer.sample(rounds, len(rounds))  # type: ignore[attr-defined]
    one = rate_player(rounds, PLAYER_RULES)
    assert one == rate_player(mixed, PLAYER_RULES)
    assert one.rating is not None
    assert min(ratings) <= one.rating <= max(ratings)
