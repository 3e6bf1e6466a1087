"""What safety is told by the floors above it: where the groups of the day are, as far as scores know."""

from datetime import timedelta
from typing import Any

import pytest

import build
import build_cards
from desk.above_the_safety import ABOVE_SAFETY
from events.entries.models import Entry
from events.setup.models import Event, Round


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


def published(round_: Round, *played: int | None, starts: list[int] | None = None) -> list[Entry]:
    """One group of two for each figure: so many holes of threes from its start; None: nothing written."""
    field = build_cards.make_field(round_.event, 2 * len(played))
    groups = [field[2 * n : 2 * n + 2] for n in range(len(played))]
    build_cards.publish(round_, groups, starts=starts or [])
    for number, count in enumerate(played, start=1):
        if count is not None:
            first = (starts[number - 1] if starts else number) - 1
            throws: list[int | None] = [None] * 18
            for step in range(count):
                throws[(first + step) % 18] = 3
            build_cards.save(round_, number, [build_cards.line(e, throws) for e in groups[number - 1]])
    return field


def states(event: Event, minutes: int) -> list[tuple[int, str, str, int]]:
    now = event.rounds.get(number=1).first_start_at + timedelta(minutes=minutes)
    return [
        (group.number, group.state, group.hole_label, group.holes_played)
        for group in ABOVE_SAFETY.groups(event, now)
    ]


def test_a_group_is_on_the_hole_after_its_last_score(event: Event, round_: Round) -> None:
    published(round_, 4, None, 18, starts=[17, 3, 1])
    assert states(event, 60) == [
        (1, "playing", "3", 4),  # 17, 18, 1, 2 are played
        (2, "playing", "", 0),  # no score: not known, never the start
        (3, "finished", "", 18),
    ]


def test_before_its_start_a_group_waits(event: Event, round_: Round) -> None:
    published(round_, None)
    assert states(event, -5) == [(1, "waiting", "", 0)]


def test_a_round_that_is_over_or_of_another_day_is_left_out(event: Event, round_: Round) -> None:
    published(round_, 18)
    assert states(event, 300) == []
    published(event.rounds.get(number=2), None)
    assert [state[1] for state in states(event, 300)] == ["playing"]
    assert states(event, -24 * 60) == []


@pytest.mark.parametrize("count", [1, 3])
def test_the_groups_in_queries(
    event: Event, round_: Round, django_assert_num_queries: Any, count: int
) -> None:
    published(round_, *[4] * count)
    with django_assert_num_queries(10):
        ABOVE_SAFETY.groups(event, round_.first_start_at)


@pytest.mark.parametrize("count", [1, 3])
def test_the_unfinished_divisions_in_queries(
    event: Event, round_: Round, django_assert_num_queries: Any, count: int
) -> None:
    published(round_, *[4] * count)
    build.make_entry(event, "FA1")
    with django_assert_num_queries(12):
        (play,) = ABOVE_SAFETY.unfinished(event)
    assert (play.code, play.rounds_scheduled, play.rounds_finished) == ("MA1", 2, 0)
