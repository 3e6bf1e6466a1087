"""Reading cards: literal query counts, and what a state says."""

from collections.abc import Callable

import pytest

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Status
from events.log.services import Actor
from events.setup.models import Event, Round
from scoring.cards import queries
from scoring.cards.queries import NoSuchCard, cards_of


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.mark.parametrize("groups", [1, 3])
def test_query_counts(event: Event, round_: Round, django_assert_num_queries: Callable, groups: int) -> None:
    field = make_field(event, groups * 3)
    publish(round_, [field[at : at + 3] for at in range(0, len(field), 3)])
    for number in range(1, groups + 1):
        save(round_, number, [line(entry) for entry in field[number * 3 - 3 : number * 3]])
    round_ = Round.objects.select_related("event").get(pk=round_.pk)

    with django_assert_num_queries(8):
        cards_of(round_)
    with django_assert_num_queries(10):
        queries.card(round_, 1)


def test_without_a_sheet_there_are_no_cards(
    event: Event, round_: Round, django_assert_num_queries: Callable
) -> None:
    with django_assert_num_queries(1):
        assert cards_of(round_) == []
    with pytest.raises(NoSuchCard, match="Group 1 is not on the tee sheet of round 1"):
        queries.card(round_, 1)


def test_a_card_in_the_order_of_play(event: Event, round_: Round) -> None:
    field = make_field(event, 2)
    publish(round_, [field], starts=(7,))
    save(round_, 1, [line(field[0], [None] * 6 + [3, 4, 5] + [None] * 9, penalties=[*[0] * 8, 2])])

    state = queries.card(round_, 1).state

    assert [hole.label for _, hole in state.holes][:4] == ["7", "8", "9", "10"]
    assert [index for index, _ in state.holes][-2:] == [4, 5]
    first, second = state.players
    assert (first.sum.total, first.sum.to_par, first.penalties[8], first.sum.played) == (12, 0, 2, 3)
    assert (second.sum.total, second.throws) == (None, (None,) * 18)
    assert (state.next_label, state.complete, state.holes_played, state.base) == ("10", False, 3, 1)
    assert (state.short_name, state.divisions) == ("Moravec and 1", ("MA1",))


def test_a_card_is_complete_without_those_who_left(event: Event, round_: Round) -> None:
    field = make_field(event, 2)
    publish(round_, [field])
    save(round_, 1, [line(field[0])])
    assert not cards_of(round_)[0].complete

    field[1].status = Status.WITHDRAWN
    field[1].save()

    (state,) = cards_of(round_)
    assert (state.complete, state.players[1].playing, state.players[1].status_label) == (
        True,
        False,
        "withdrawn",
    )


def test_versions_newest_first_with_what_differs(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 3)], reason="typed from the paper card")
    save(round_, 1, [line(moravec, 4)], actor=Actor("Ada"))

    view = queries.card(round_, 1)

    assert [(version.number, version.state, version.by, version.reason) for version in view.versions] == [
        (2, "differs", "Ada", ""),
        (1, "current", "Tester", "typed from the paper card"),
    ]
    assert (view.current.number, [version.number for version in view.differing]) == (1, [2])
    assert (view.state.conflicts, view.state.done) == (1, False)


def test_a_line_of_a_layout_of_another_length_says_nothing_about_this_one(
    event: Event, round_: Round
) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec)])
    publish(round_, [[moravec]], layout=build.make_layout(event, "Short", pars=(3, 3, 3), tees="short"))

    (state,) = cards_of(round_)

    assert (state.players[0].throws, state.complete) == ((None, None, None), False)
