"""Keeping cards: versions, replays, two writers, moved players, what is refused."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Status
from events.log.models import Act
from events.log.services import Actor, verify
from events.setup.models import Event, Round
from scoring.cards.models import Card, CardLine, CardVersion
from scoring.cards.services import (
    CardRefused,
    mark_finished,
    mark_returned,
    resolve_difference,
)

State = CardVersion.State


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


def standing(round_: Round) -> dict[str, tuple[int | None, int]]:
    lines = CardLine.objects.filter(round=round_, current=True).select_related(
        "entry__person", "version__card"
    )
    return {item.entry.person.family_name: (item.total, item.version.card.group_number) for item in lines}


def states() -> list[tuple[int, str]]:
    return list(CardVersion.objects.order_by("card", "number").values_list("number", "state"))


def test_a_card_becomes_the_current_version_with_its_sums(event: Event, round_: Round) -> None:
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec, oyelaran]])

    saved = save(
        round_,
        1,
        [
            line(moravec, 3, written_total=56, additional=2, additional_reason="late card"),
            line(oyelaran, [4, *[None] * 17]),
        ],
    )

    assert (saved.version.number, saved.version.state, saved.conflict, saved.replayed) == (
        1,
        "current",
        False,
        False,
    )
    rows = CardLine.objects.order_by("order").values_list(
        "order", "played", "total", "complete", "written_total", "current"
    )
    assert list(rows) == [(1, 18, 56, True, 56, True), (2, 1, 4, False, None, True)]
    act = Act.objects.get(action="card.saved")
    assert act.detail["lines"][str(oyelaran.pk)] == [[4, *[None] * 17], [], 0, None]
    assert verify(event.slug) == (1, [])


def test_nothing_written_is_not_zero(event: Event, round_: Round) -> None:
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec, oyelaran]])

    save(round_, 1, [line(moravec)])

    assert standing(round_) == {"Moravec": (54, 1), "Oyelaran": (None, 1)}


def test_the_same_submission_is_one_version(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    key = uuid4()

    first = save(round_, 1, [line(moravec)], submission=key)
    again = save(round_, 1, [line(moravec)], submission=key)

    assert (again.version, again.replayed, CardVersion.objects.count()) == (first.version, True, 1)


def test_a_page_sent_again_with_other_figures_loses_nothing(event: Event, round_: Round) -> None:
    """The first answer was lost on the way; the writer mended a figure and sent the same page again, twice."""
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    key = uuid4()
    save(round_, 1, [line(moravec, 3)], submission=key)

    mended = save(round_, 1, [line(moravec, 4)], submission=key)
    again = save(round_, 1, [line(moravec, 4)], submission=key)

    assert mended.conflict
    assert (again.version, again.replayed) == (mended.version, True)
    assert states() == [(1, "current"), (2, "differs")]


def test_the_next_version_supersedes_the_one_it_was_based_on(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])

    save(round_, 1, [line(moravec, 3)])
    save(round_, 1, [line(moravec, 4)], base=1)

    assert states() == [(1, "superseded"), (2, "current")]
    assert standing(round_) == {"Moravec": (72, 1)}


def test_two_writers_from_the_same_base_are_both_kept(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 3)])

    first = save(round_, 1, [line(moravec, 4)], base=1)
    second = save(round_, 1, [line(moravec, 5)], base=1)

    assert (first.conflict, second.conflict) == (False, True)
    assert states() == [(1, "superseded"), (2, "current"), (3, "differs")]
    assert standing(round_) == {"Moravec": (72, 1)}
    assert [act.action for act in Act.objects.order_by("number")] == [
        "card.saved",
        "card.saved",
        "card.conflict",
    ]


def test_two_writers_who_agree_do_not_differ(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 3, penalties=[1, None, 0])])

    second = save(round_, 1, [line(moravec, 3, penalties=[1])])

    assert (second.conflict, states()) == (False, [(1, "superseded"), (2, "current")])


@pytest.mark.parametrize(
    ("take", "total", "end"), [(True, 90, ["superseded", "current"]), (False, 72, ["current", "rejected"])]
)
def test_a_difference_is_decided_once(
    event: Event, round_: Round, take: bool, total: int, end: list[str]
) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 4)])
    other = save(round_, 1, [line(moravec, 5)]).version

    resolve_difference(version=other, take=take, reason="read again", actor=build.ACTOR, now=build.NOW)

    assert standing(round_) == {"Moravec": (total, 1)}
    assert [state for _, state in states()] == end
    with pytest.raises(CardRefused, match="Version 2 was decided already"):
        resolve_difference(version=other, take=True, reason="", actor=build.ACTOR, now=build.NOW)


def test_after_a_decision_the_older_page_is_stale(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 4)])
    other = save(round_, 1, [line(moravec, 5)]).version
    resolve_difference(version=other, take=True, reason="", actor=build.ACTOR, now=build.NOW)

    assert save(round_, 1, [line(moravec, 6)], base=1).conflict
    assert not save(round_, 1, [line(moravec, 7)], base=2).conflict


def test_a_difference_is_over_when_the_current_version_says_the_same(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    save(round_, 1, [line(moravec, 4)])
    save(round_, 1, [line(moravec, 5)])

    save(round_, 1, [line(moravec, 5)], base=1)

    assert states() == [(1, "superseded"), (2, "superseded"), (3, "current")]


def test_a_player_without_a_line_keeps_what_stands(event: Event, round_: Round) -> None:
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec, oyelaran]])
    save(round_, 1, [line(moravec, 3), line(oyelaran, 4)])

    save(round_, 1, [line(moravec, 5)], base=1)

    assert standing(round_) == {"Moravec": (90, 1), "Oyelaran": (72, 1)}


def test_a_moved_player_keeps_one_current_line(event: Event, round_: Round) -> None:
    moravec, oyelaran, pennock = make_field(event, 3)
    publish(round_, [[moravec, oyelaran], [pennock]])
    save(round_, 1, [line(moravec, 3), line(oyelaran, 4)])
    publish(round_, [[moravec], [pennock, oyelaran]])

    save(round_, 2, [line(pennock, 3), line(oyelaran, None)])
    assert standing(round_) == {"Moravec": (54, 1), "Oyelaran": (72, 1), "Pennock": (54, 2)}

    save(round_, 2, [line(oyelaran, 5)], base=1)
    save(round_, 1, [line(moravec, 4)], base=1)
    assert standing(round_) == {"Moravec": (72, 1), "Oyelaran": (90, 2), "Pennock": (54, 2)}


def test_what_cannot_be_is_refused_with_player_and_hole(event: Event, round_: Round) -> None:
    moravec, oyelaran, stranger = make_field(event, 3)
    publish(round_, [[moravec, oyelaran]])
    bad = [3] * 18
    bad[6] = 0

    with pytest.raises(CardRefused) as refused:
        save(
            round_,
            1,
            [
                line(moravec, bad, penalties=[3], additional=2),
                line(oyelaran, [3] * 17),
                line(stranger),
                line(moravec, 3, written_total=0),
            ],
        )

    assert refused.value.sentences == (
        "Ludvik Moravec, hole 7: A hole score is between 1 and 30; 0 cannot be.",
        "Ludvik Moravec, hole 1: 3 penalty throws leave no throw in a score of 3.",
        "Ludvik Moravec: say what the additional penalty throws are for.",
        "Hale Oyelaran: 17 hole scores for a layout of 18 holes.",
        f"Entry {stranger.pk} is not in this group on the published tee sheet.",
        "Ludvik Moravec stands on this card twice.",
    )
    assert (CardVersion.objects.count(), Act.objects.count()) == (0, 0)


def test_without_a_published_sheet_there_is_no_card(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)

    with pytest.raises(CardRefused, match=r"^Round 1 has no published tee sheet\.$"):
        save(round_, 1, [line(moravec)])
    publish(round_, [[moravec]])
    with pytest.raises(CardRefused, match=r"^Group 9 is not on the tee sheet of round 1\.$"):
        save(round_, 9, [line(moravec)])


def test_after_the_event_cards_stay_but_an_acknowledged_one_is_confirmed_again(
    event: Event, round_: Round
) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    key = uuid4()
    saved = save(round_, 1, [line(moravec)], submission=key)
    event.over_at = build.NOW
    event.save()

    assert save(round_, 1, [line(moravec)], submission=key).version == saved.version
    for act in (
        lambda: save(round_, 1, [line(moravec, 4)], base=1),
        lambda: mark_returned(round=round_, group_number=1, at=build.NOW, actor=build.ACTOR, now=build.NOW),
        lambda: resolve_difference(
            version=saved.version, take=True, reason="", actor=build.ACTOR, now=build.NOW
        ),
    ):
        with pytest.raises(CardRefused, match="The event is over"):
            act()


def test_a_key_of_another_card_is_refused(event: Event, round_: Round) -> None:
    moravec, oyelaran = make_field(event, 2)
    publish(round_, [[moravec], [oyelaran]])
    key = uuid4()
    save(round_, 1, [line(moravec)], submission=key)

    with pytest.raises(CardRefused, match="sent for another card"):
        save(round_, 2, [line(oyelaran)], submission=key)


@pytest.mark.parametrize(
    ("source", "status", "returned"),
    [
        ("paper", Status.CONFIRMED, False),
        ("paper", Status.DID_NOT_FINISH, True),
        ("import", Status.DID_NOT_FINISH, True),
        ("device", Status.DID_NOT_FINISH, False),
        ("desk", Status.DID_NOT_FINISH, False),  # as an absence is written
    ],
)
def test_a_complete_card_is_in_unless_it_came_from_a_phone(
    event: Event, round_: Round, source: str, status: str, returned: bool
) -> None:
    """The second player has 9 holes: that is complete only for somebody who did not finish."""
    moravec, oyelaran = make_field(event, 2)
    oyelaran.status = status
    oyelaran.save()
    publish(round_, [[moravec, oyelaran]])

    save(round_, 1, [line(moravec), line(oyelaran, [*[3] * 9, *[None] * 9])], source=source)

    assert (Card.objects.get().returned_at == build.NOW) is returned


def test_finished_and_returned_are_logged_with_what_was_before(event: Event, round_: Round) -> None:
    publish(round_, [make_field(event, 1)])
    earlier = build.NOW - timedelta(minutes=10)

    mark_finished(round=round_, group_number=1, at=earlier, actor=build.ACTOR, now=build.NOW)
    mark_finished(round=round_, group_number=1, at=earlier, actor=build.ACTOR, now=build.NOW)
    mark_finished(round=round_, group_number=1, at=None, actor=build.ACTOR, now=build.NOW)
    with pytest.raises(CardRefused, match="still to come"):
        mark_returned(
            round=round_, group_number=1, at=build.NOW + timedelta(1), actor=build.ACTOR, now=build.NOW
        )

    assert [(act.action, act.detail["old"], act.detail["new"]) for act in Act.objects.order_by("number")] == [
        ("card.finished", None, earlier.isoformat()),
        ("card.finished", earlier.isoformat(), None),
    ]


def test_saving_gives_the_card_back_to_others(event: Event, round_: Round) -> None:
    (moravec,) = make_field(event, 1)
    publish(round_, [[moravec]])
    Card.objects.create(round=round_, group_number=1, opened_by="Tester", opened_at=build.NOW)

    save(round_, 1, [line(moravec)], actor=Actor("Somebody else"))
    assert Card.objects.get().opened_by == "Tester"
    save(round_, 1, [line(moravec)], base=1)
    assert Card.objects.get().opened_by == ""


KEYS = [UUID(int=number) for number in range(1, 5)]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(order=st.lists(st.sampled_from(range(4)), min_size=1, max_size=10))
def test_however_often_submissions_come_again_the_same_lines_stand(
    event: Event, round_: Round, order: list[int]
) -> None:
    """Each of four pages is sent in the order of its first arrival, and again at random: what stands, and how
    many versions there are, follows from the first arrivals alone."""
    Card.objects.filter(round=round_).delete()
    if not round_.sheets.exists():
        publish(round_, [make_field(event, 1)])
    entry = round_.sheets.get().seats.get().entry
    for page in order:
        save(round_, 1, [line(entry, page + 2)], submission=KEYS[page])

    first = list(dict.fromkeys(order))
    versions = [(version.number, version.submission) for version in CardVersion.objects.order_by("number")]
    assert versions == [(number, KEYS[page]) for number, page in enumerate(first, start=1)]
    assert standing(round_) == {"Moravec": (18 * (first[0] + 2), 1)}
