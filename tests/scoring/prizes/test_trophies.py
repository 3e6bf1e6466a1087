"""Trophies of a tie that reaches beyond the last of them."""

from typing import Any

import pytest

import build
import build_cards
import build_prizes
from events.entries.models import Entry
from events.setup.models import Event
from scoring.playoffs.contests import Held, write_contest
from scoring.prizes.awards import awards_of
from scoring.prizes.hand_page import prize_words
from scoring.prizes.handing import hand_over
from scoring.prizes.still_open import open_in

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
SHORT = (
    "MA1: 3 share place 2, and 2 trophies are left for them: a playoff or another contest may decide who takes which,"
    " or all get one (1.09.E)."
)


@pytest.fixture
def seconds(event: Event) -> list[Entry]:
    """Four players of MA1, one ahead and three who share second place; trophies for three, prizes for four."""
    field = build_cards.make_field(event, 4)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field])
        lines = [build_cards.line(field[0], 3), *(build_cards.line(entry, 4) for entry in field[1:])]
        build_cards.save(round_, 1, lines)
    build_prizes.plan(event, "MA1", fixed_cents=10_000, places=4, trophies=3)
    return field


def contest(event: Event, trophy: int, winner: Entry) -> None:
    write_contest(
        division=event.divisions.get(code="MA1"),
        trophy=trophy,
        held=Held(winner=winner.pk, what="three putts from 10 m"),
        **FACTS,
    )


def words(event: Event, *entries: Entry) -> list[str]:
    found = {due.award.entry_id: prize_words(due).split(", ")[-1] for due in awards_of(event).dues}
    return [found[entry.pk] for entry in entries]


def test_while_nothing_is_decided_all_who_share_the_place_have_one_and_that_is_said(
    event: Event, seconds: list[Entry]
) -> None:
    assert words(event, *seconds) == ["trophy", "trophy", "trophy", "trophy"]
    assert SHORT in open_in(awards_of(event))


def test_a_contest_for_each_says_who_takes_which_and_the_money_is_shared_all_the_same(
    event: Event, seconds: list[Entry]
) -> None:
    cents = {due.award.entry_id: due.award.cents for due in awards_of(event).dues}
    contest(event, 2, seconds[3])
    assert "MA1: 2 share place 2, and 1 trophy is left for them" in " ".join(open_in(awards_of(event)))
    contest(event, 3, seconds[1])
    assert words(event, seconds[0], seconds[1], seconds[3]) == [
        "trophy",
        "trophy of place 3",
        "trophy of place 2",
    ]
    assert "trophy" not in words(event, seconds[2])[0]
    assert "1.09.E" not in " ".join(open_in(awards_of(event)))
    assert {due.award.entry_id: due.award.cents for due in awards_of(event).dues} == cents


def test_once_all_have_theirs_nothing_is_said_any_more(event: Event, seconds: list[Entry]) -> None:
    for due in awards_of(event).dues:
        entry = next(each for each in seconds if each.pk == due.award.entry_id)
        hand_over(entry=entry, method="goods", expected_cents=due.open, note="", **FACTS)
    assert SHORT not in open_in(awards_of(event))


def test_trophies_that_go_round_are_nobody_to_ask_about(event: Event, seconds: list[Entry]) -> None:
    build_prizes.plan(event, "MA1", version=1, fixed_cents=10_000, places=4, trophies=4)
    assert "1.09.E" not in " ".join(open_in(awards_of(event)))
    assert len(seconds) == 4


@pytest.mark.parametrize("decided", [1, 2])
def test_trophies_cost_two_queries_more(
    event: Event, seconds: list[Entry], django_assert_num_queries: Any, decided: int
) -> None:
    contest(event, 2, seconds[3])
    if decided == 2:
        contest(event, 3, seconds[1])
    with django_assert_num_queries(25):
        awards_of(event)
