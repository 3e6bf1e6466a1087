"""What follows where a round cannot be finished: edges of the arithmetic and what the director reads."""

from datetime import date

import pytest

from events.rulebook.loader import Override, in_force
from events.safety.completion import common_holes, completion_rule, event_official, options, partial_round

DAY = date(2026, 6, 14)
RULE = completion_rule(in_force(DAY, "north_america"))
LAYOUT = tuple(range(1, 19))


def test_nobody_playing_has_no_common_holes():
    assert common_holes(LAYOUT, {}) == ()


def test_one_who_has_not_begun_leaves_none():
    assert common_holes(LAYOUT, {"a": LAYOUT, "b": ()}) == ()


def test_common_holes_stand_in_the_layout_s_order_and_a_hole_played_twice_counts_twice():
    layout = (3, 1, 2, 1)

    assert common_holes(layout, {"a": {1, 2, 3}, "b": {1, 3}}) == (3, 1, 1)


@pytest.mark.parametrize(
    ("holes", "sentence"),
    [
        (1, "1 hole finished by everyone: fewer than 9, the round cannot count."),
        (9, "9 holes finished by everyone: they can count, but are not rated below 13."),
        (13, "13 holes finished by everyone: they can count and be rated."),
    ],
)
def test_sentences(holes, sentence):
    assert partial_round(LAYOUT, {"a": LAYOUT[:holes]}, RULE).sentence == sentence


def test_a_director_s_own_figure_is_followed():
    book = in_force(
        DAY, "north_america", {"suspension.common_holes_at_least": Override(6, "Course of nine holes")}
    )

    assert partial_round(LAYOUT, {"a": LAYOUT[:6]}, completion_rule(book)).counts


@pytest.mark.parametrize(("scheduled", "finished"), [(0, 0), (2, 3), (2, -1)])
def test_what_cannot_be_is_refused(scheduled, finished):
    with pytest.raises(ValueError, match="cannot be"):
        event_official(scheduled, finished, RULE)


def test_every_option_tells_its_consequences_and_source():
    part = partial_round(LAYOUT, {"a": LAYOUT[:12]}, RULE)
    found = options(part, 4, 1, RULE, days_left=True)

    assert [(each.key, each.needs_approval) for each in found] == [
        ("finish_later", False),
        ("common_holes", True),
        ("last_round", True),
        ("not_official", False),
    ]
    assert all(each.consequences and each.source for each in found)
    assert found[1].consequences == (
        "All common holes count; scores on other holes do not.",
        "Not rated: fewer than 13 holes.",
        "If this round is taken as finished: 2 of 4 rounds finished by all; 2 needed: the event is official.",
    )
