"""Who a rating may rest on."""

from dataclasses import replace
from datetime import date

import pytest

from build_ratings import FIRST_DAY, RULES
from scoring.ratings.propagators import (
    Excluded,
    Finish,
    Played,
    Propagator,
    Reason,
    choose,
    judge,
    years_earlier,
)

SETTLED = Played("p", "P", 60, 700, 8, date(2024, 6, 7))


@pytest.mark.parametrize(
    "player", [SETTLED, replace(SETTLED, rating_date=FIRST_DAY), replace(SETTLED, rating=1050)]
)
def test_the_figures_on_the_threshold_count(player: Played) -> None:
    assert judge(player, RULES, FIRST_DAY) == Propagator("p", "P", player.rating or 0, 60)


@pytest.mark.parametrize(
    ("player", "reason", "detail"),
    [
        (replace(SETTLED, finish=Finish.DISQUALIFIED), Reason.DISQUALIFIED, ""),
        (replace(SETTLED, finish=Finish.NOT_FINISHED), Reason.NOT_FINISHED, ""),
        (replace(SETTLED, score=None), Reason.NO_CARD, ""),
        (replace(SETTLED, rating=None), Reason.NO_RATING, ""),
        (replace(SETTLED, rating=699), Reason.RATING_TOO_LOW, "699, needs more than 699"),
        (replace(SETTLED, rated_rounds=None), Reason.ROUNDS_UNKNOWN, ""),
        (replace(SETTLED, rated_rounds=7), Reason.TOO_FEW_ROUNDS, "7, needs 8"),
        (replace(SETTLED, rating_date=None), Reason.DATE_UNKNOWN, ""),
        (
            replace(SETTLED, rating_date=date(2024, 6, 6)),
            Reason.DATE_TOO_OLD,
            "2024-06-06, needs 2024-06-07 or later",
        ),
        (
            replace(SETTLED, rating_date=date(2025, 6, 8)),
            Reason.DATE_TOO_NEW,
            "2025-06-08, event began 2025-06-07",
        ),
    ],
)
def test_everyone_else_is_excluded_for_a_named_reason(player: Played, reason: Reason, detail: str) -> None:
    assert judge(player, RULES, FIRST_DAY) == Excluded("p", "P", reason, detail)


def test_the_pool_is_parted_in_the_order_given() -> None:
    pool = [replace(SETTLED, key="1"), replace(SETTLED, key="2", rating=None), replace(SETTLED, key="3")]

    propagators, excluded = choose(pool, RULES, FIRST_DAY)

    assert ([p.key for p in propagators], [e.key for e in excluded]) == (["1", "3"], ["2"])


def test_a_year_before_a_leap_day_is_the_28th() -> None:
    assert years_earlier(date(2028, 2, 29), 1) == date(2027, 2, 28)
    assert years_earlier(date(2028, 2, 29), 4) == date(2024, 2, 29)
