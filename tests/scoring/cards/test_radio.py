"""Radio calls: read as they are spoken, counted until holes are known, taken back."""

from uuid import uuid4

import pytest

import build
from build_cards import line, make_field, publish, save
from events.log.services import verify
from events.setup.models import Event, Round
from scoring.cards.calling import keep_call, take_back_call
from scoring.cards.keeping import CardRefused
from scoring.cards.models import RadioCall, StandingLine
from scoring.cards.radio import Call, CallUnread, called_total, read_call
from scoring.standings.queries import standings

SPOKEN = [
    ("group 7, through 9, −3, E, +1, +4", Call(7, 9, (-3, 0, 1, 4))),
    ("7 9 -3 E 1 +4", Call(7, 9, (-3, 0, 1, 4))),
    ("Group 12 thru 18: minus 3, even, plus 1", Call(12, 18, (-3, 0, 1))),
    ("7 9 -3 x 0", Call(7, 9, (-3, None, 0))),
    ("7,9,-3,-,par", Call(7, 9, (-3, None, 0))),
]


@pytest.mark.parametrize(("text", "call"), SPOKEN)
def test_a_call_is_read_as_it_is_spoken(text, call):
    assert read_call(text) == call


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Write the group"),
        ("7 9", "Write the group"),
        ("seven 9 E", "“seven” is no group"),
        ("7 0 E", "0 holes played cannot be"),
        ("7 9 E 101", "“101” is no score to par"),
        ("7 9 birdie", "“birdie” is no score to par"),
    ],
)
def test_what_is_no_call_says_what_is_missing(text, said):
    with pytest.raises(CallUnread, match=said):
        read_call(text)


def test_throws_follow_from_the_pars_in_order_of_play():
    assert called_total([3, 4, 5], 2, -1) == 6
    with pytest.raises(ValueError, match="4 holes on a layout of 3"):
        called_total([3, 4, 5], 4, 0)


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


def call(round_: Round, text: str, key=None):
    return keep_call(round=round_, call=read_call(text), key=key or uuid4(), actor=build.ACTOR, now=build.NOW)


def shown(event: Event) -> list[tuple[str, int | None, str]]:
    rows = standings(event)[0].rows
    return [(row.standing.name.split()[-1], row.standing.to_par, row.standing.words) for row in rows]


def test_a_call_counts_until_holes_are_known(event: Event, round_: Round):
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec, oyelaran]], starts=[3])

    call(round_, "1 9 -3 E")
    assert shown(event) == [("Moravec", -3, "through 9"), ("Oyelaran", 0, "through 9")]
    assert StandingLine.objects.get(entry=moravec).total is None

    save(round_, 1, [line(moravec, [*[3] * 12, *[None] * 6])])
    assert shown(event)[0][2] in {"through 12", "through 9"}
    assert {row[0]: row[2] for row in shown(event)} == {"Moravec": "through 12", "Oyelaran": "through 9"}


def test_a_call_never_completes_a_round(event: Event, round_: Round):
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])

    call(round_, "1 18 -3")

    assert not standings(event)[0].settled


def test_the_farthest_call_counts_whatever_came_first(event: Event, round_: Round):
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])

    call(round_, "1 9 -3")
    call(round_, "1 6 -1")

    assert shown(event) == [("Moravec", -3, "through 9")]


def test_the_same_call_twice_is_kept_once_and_a_call_can_be_taken_back(event: Event, round_: Round):
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    key = uuid4()

    call(round_, "1 9 -3", key)
    call(round_, "1 9 -3", key)
    assert RadioCall.objects.count() == 1

    take_back_call(round=round_, group_number=1, key=key, actor=build.ACTOR, now=build.NOW)
    assert (RadioCall.objects.count(), shown(event)[0][1]) == (1, None)
    assert verify(event.slug) == (2, [])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1 9 -3", "Group 1 has 2 players and the call 1: Ludvik Moravec, Hale Oyelaran"),
        ("2 9 -3 E", "Group 2 is not on the tee sheet"),
        ("1 19 -3 E", "19 holes: the layout of group 1 has 18"),
        ("1 1 -3 E", "Ludvik Moravec: -3 after 1 holes would be fewer throws than holes"),
        ("1 9 x x", "The call names nobody"),
    ],
)
def test_what_cannot_be_is_refused(event: Event, round_: Round, text, said):
    publish(round_, [make_field(event, 2)])

    with pytest.raises(CardRefused, match=said):
        call(round_, text)
    assert not RadioCall.objects.exists()
