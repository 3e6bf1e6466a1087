"""What phones say while a group plays: kept for good, counted whatever its order, never twice."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry, Status
from events.log.models import Act
from events.log.services import verify
from events.setup.models import Event, Round
from scoring.cards.calling import keep_call
from scoring.cards.keeping import CardRefused
from scoring.cards.live import MOST_ACTS, Saying, enter_holes
from scoring.cards.models import Card, CardLine, Device, HoleEntry, RadioCall, StandingLine
from scoring.cards.radio import Call
from scoring.standings.queries import standings

PHONE, OTHER = UUID(int=1), UUID(int=2)


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    players = make_field(event, 2)
    publish(round_, [players])
    return players


def says(
    entry: Entry, hole: int, throws: int | None, seq: int = 1, *over: UUID, key: UUID | None = None
) -> Saying:
    return Saying(key or uuid4(), seq, entry.pk, str(hole), throws, over)


def enter(
    round_: Round, *sayings: Saying, device: UUID = PHONE, group: int = 1, name: str = "Moravec’s phone"
):
    entered = enter_holes(
        round=round_,
        group_number=group,
        device_key=device,
        device_name=name,
        sayings=sayings,
        actor=build.ACTOR,
        now=build.NOW,
    )
    return entered.answers


def throws(entry: Entry) -> list[int | None]:
    return StandingLine.objects.get(entry=entry).throws


def test_what_a_phone_says_counts_and_is_logged(event: Event, round_: Round, field: list[Entry]):
    answers = enter(round_, says(field[0], 1, 3), says(field[0], 2, 4, 2), says(field[1], 1, 5, 3))

    assert [answer.refused for answer in answers] == ["", "", ""]
    standing = StandingLine.objects.get(entry=field[0])
    assert (standing.throws[:3], standing.played, standing.total) == ([3, 4, None], 2, 7)
    act = Act.objects.get(action="holes.said")
    assert [row[:3] for row in act.detail["said"]] == [
        [field[0].pk, "1", 3], [field[0].pk, "2", 4], [field[1].pk, "1", 5],
    ]  # fmt: skip
    assert verify(event.slug) == (1, [])


def test_the_same_key_is_kept_once_and_answered_as_kept(round_: Round, field: list[Entry]):
    saying = says(field[0], 1, 3)

    enter(round_, saying, saying)
    answers = enter(round_, saying)

    assert (answers[0].refused, HoleEntry.objects.count(), Act.objects.count()) == ("", 1, 1)


def test_two_phones_that_differ_leave_the_hole_open_until_one_decides(round_: Round, field: list[Entry]):
    mine, theirs = says(field[0], 1, 3), says(field[0], 1, 4)
    enter(round_, mine)
    enter(round_, theirs, device=OTHER, name="Oyelaran’s phone")

    standing = StandingLine.objects.get(entry=field[0])
    assert (standing.throws[0], standing.differs, standing.total) == (None, ["1"], None)

    enter(round_, says(field[0], 1, 3, 2, theirs.key))

    standing.refresh_from_db()
    assert (standing.throws[0], standing.differs, standing.total) == (3, [], 3)
    assert HoleEntry.objects.count() == 3


def test_a_typed_card_stands_before_phones_and_leaves_them_the_blanks(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0], [4, *[None] * 17])])
    enter(round_, says(field[0], 1, 3), says(field[0], 2, 2, 2))

    assert throws(field[0])[:3] == [4, 2, None]
    assert CardLine.objects.get(entry=field[0]).throws[:2] == [4, None]


def test_a_phone_that_was_offline_still_knows_a_player_who_was_moved(
    event: Event, round_: Round, field: list[Entry]
):
    publish(round_, [[field[0]], [field[1]]])

    answers = enter(round_, says(field[1], 1, 3))

    assert (answers[0].refused, throws(field[1])[0]) == ("", 3)


def test_what_cannot_be_is_refused_by_itself(event: Event, round_: Round, field: list[Entry]):
    stranger = build.make_entry(event)

    answers = enter(
        round_, says(stranger, 1, 3), says(field[0], 19, 3), says(field[0], 1, 31), says(field[0], 2, 3)
    )

    assert [answer.refused for answer in answers] == [
        "This player is not in the group: tell the desk.",
        "Ludvik Moravec, hole 19: the layout has no such hole any more. Tell the desk.",
        "Ludvik Moravec, hole 1: A hole score is between 1 and 30; 31 cannot be.",
        "",
    ]
    assert HoleEntry.objects.count() == 1


def test_the_groups_clock_starts_with_the_last_score_of_its_phones(round_: Round, field: list[Entry]):
    enter(round_, *[says(field[0], hole, 3, hole) for hole in range(1, 19)])
    assert Card.objects.get().finished_at is None
    enter(round_, *[says(field[1], hole, 3, hole + 18) for hole in range(1, 18)])
    Entry.objects.filter(pk=field[1].pk).update(status=Status.DID_NOT_FINISH)

    enter(round_, says(field[0], 1, 4, 40))

    assert Card.objects.get().finished_at == build.NOW


def test_a_key_of_another_phone_is_refused(round_: Round, field: list[Entry]):
    saying = says(field[0], 1, 3)
    enter(round_, saying)

    answers = enter(round_, saying, device=OTHER)

    assert answers[0].refused == "This entry is another phone’s already."


def test_too_many_at_once_no_group_and_an_event_that_is_over_are_refused(
    event: Event, round_: Round, field: list[Entry]
):
    with pytest.raises(CardRefused, match="at most 100"):
        enter(round_, *[says(field[0], 1, 3, seq) for seq in range(MOST_ACTS + 1)])
    with pytest.raises(CardRefused, match="Group 9 is not on the tee sheet of round 1"):
        enter(round_, says(field[0], 1, 3), group=9)
    event.over_at = build.NOW
    event.save()
    with pytest.raises(CardRefused, match="The event is over"):
        enter(round_, says(field[0], 1, 3))
    assert not Device.objects.filter(key=PHONE, hole_entries__isnull=False).exists()


@pytest.mark.parametrize("rows", [1, 3])
def test_saying_takes_the_same_queries(
    round_: Round, field: list[Entry], django_assert_num_queries, rows: int
):
    enter(round_, says(field[0], 18, 3), says(field[1], 18, 3))
    sayings = [says(field[hole % 2], hole + 1, 3, hole + 2) for hole in range(rows)]

    # 2 the round and its card locked, 2 the group and its holes, 1 devices, 1 what was said, 1 entries, 1 typed lines,
    # 1 rulings, 1 radio calls, 1 what stands, 3 the log, 4 for the two transactions of the test
    with django_assert_num_queries(18):
        enter(round_, *sayings)


# The facts of one round: what was thrown. Sources say the same in the end, whatever they said on the way.
TRUE = {1: (3, 4, 2), 2: (5, 3, 3)}  # player (by place) → throws of holes 1 to 3


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_interleaving_ends_in_the_standings_of_the_same_facts_entered_once(
    event: Event, round_: Round, field: list[Entry], data
):
    """Two phones with slips and corrections, retries and reordering, a radio call, and the card room."""
    for model in (HoleEntry, RadioCall, StandingLine, CardLine):
        model.objects.all().delete()
    sends = []
    for device in (PHONE, OTHER):
        seq = 0
        for place, figures in TRUE.items():
            for hole, figure in enumerate(figures, start=1):
                if data.draw(st.booleans(), label="a slip first"):
                    seq += 1
                    sends.append(("phone", device, says(field[place - 1], hole, 9, seq)))
                seq += 1
                sends.append(("phone", device, says(field[place - 1], hole, figure, seq)))
    sends.append(("radio", uuid4(), Call(1, 2, (0, 1))))
    if data.draw(st.booleans(), label="the card room types"):
        sends.append(("paper", uuid4(), None))
    again = data.draw(st.lists(st.sampled_from(sends), max_size=6), label="sent again")
    for kind, key, what in data.draw(st.permutations([*sends, *again]), label="arrival"):
        if kind == "phone":
            assert [answer.refused for answer in enter(round_, what, device=key)] == [""]
        elif kind == "radio":
            keep_call(round=round_, call=what, key=key, actor=build.ACTOR, now=build.NOW)
        else:
            typed = [line(field[place - 1], [*figures, *[None] * 15]) for place, figures in TRUE.items()]
            save(round_, 1, typed, submission=key, now=build.NOW + timedelta(minutes=1))

    found = {row.entry_id: (row.standing.total, row.standing.to_par) for row in standings(event)[0].rows}
    assert found == {field[0].pk: (9, -1), field[1].pk: (11, 1)}
    assert HoleEntry.objects.count() == len({what.key for kind, _, what in sends if kind == "phone"})
