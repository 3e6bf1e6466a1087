"""What is said of cards on which what was written differs, until somebody decides."""

import json
from typing import Any
from uuid import UUID, uuid4

import jsonschema
import pytest
from django.test import Client
from django.urls import reverse

import build
import build_cards
from events.entries.models import Entry
from events.setup.models import Event, Role, Round
from scoring.cards.deciding import decide_cells
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import CardVersion
from scoring.cards.queries import cards_of
from scoring.cards.verifying import verify_card
from scoring.cards.waiting import waiting
from scoring.playoffs.ties import tied_for_first
from scoring.standings.cut_setting import set_cut
from scoring.standings.cutting import CutState
from scoring.standings.paper import subtitle_of
from scoring.standings.queries import DivisionStandings, standings
from scoring.standings.showing import division_sub
from scoring.standings.working import working_of

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
PHONE, OTHER = UUID(int=1), UUID(int=2)


@pytest.fixture
def field(event: Event) -> list[Entry]:
    """Two who have played both rounds, on typed cards."""
    entries = build_cards.make_field(event, 2)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [entries])
        build_cards.save(round_, 1, [build_cards.line(entries[0], 3), build_cards.line(entries[1], 4)])
    return entries


def last(event: Event) -> Round:
    return event.rounds.get(number=2)


def say(event: Event, entry: Entry, hole: str, throws: int, device: UUID = PHONE) -> None:
    enter_holes(
        round=last(event),
        group_number=1,
        device_key=device,
        device_name="",
        sayings=[Saying(uuid4(), 1, entry.pk, hole, throws)],
        **FACTS,
    )


def decide(event: Event, entry: Entry, hole: str, throws: int) -> None:
    chosen = {(entry.pk, hole): throws}
    decide_cells(round=last(event), group_number=1, chosen=chosen, key=uuid4(), reason="asked", **FACTS)


def only(event: Event) -> DivisionStandings:
    (division,) = standings(event)
    return division


def how_far(division: DivisionStandings) -> tuple[bool, bool, bool, int]:
    return division.by_total, division.settled, division.finished, division.undecided


def test_a_phone_that_says_otherwise_than_the_typed_card_is_said_until_it_is_decided(
    event: Event, field: list[Entry]
) -> None:
    assert how_far(only(event)) == (True, True, True, 0)
    say(event, field[0], "7", 4)
    division = only(event)
    assert how_far(division) == (True, False, False, 1)
    assert division_sub(division) == "after round 2 of 2 · 1 card to be decided · Upper layout, par 60"
    assert subtitle_of([division]) == "after round 2, 1 card to be decided"
    assert [row.standing.total for row in division.rows] == [108, 144]  # what was typed counts meanwhile
    assert (
        working_of(division, division.rows[0])
        .sentences[0]
        .startswith("Round 2: hole 7 to be decided, in the card room.")
    )
    decide(event, field[0], "7", 4)
    assert how_far(only(event)) == (True, True, True, 0)
    assert [row.standing.total for row in only(event).rows] == [109, 144]


def test_the_same_figure_from_a_phone_leaves_nothing_to_decide(event: Event, field: list[Entry]) -> None:
    say(event, field[0], "7", 3)
    assert how_far(only(event)) == (True, True, True, 0)


def test_two_phones_that_differ_leave_a_hole_missing_and_say_so(event: Event, field: list[Entry]) -> None:
    blank: list[int | None] = [3] * 17 + [None]
    build_cards.save(last(event), 1, [build_cards.line(field[0], blank)], base=1)
    say(event, field[0], "18", 3)
    say(event, field[0], "18", 4, OTHER)
    division = only(event)
    row = division.rows[-1]
    assert (row.standing.name, row.standing.place, row.rounds[1].open and row.rounds[1].open.holes) == (
        "Ludvik Moravec",
        None,
        ("18",),
    )
    assert (division.undecided, division.finished) == (1, False)


def test_two_versions_of_a_card_count_as_one_card_to_decide(event: Event, field: list[Entry]) -> None:
    second = [build_cards.line(field[0], 5), build_cards.line(field[1], 4)]
    build_cards.save(last(event), 1, second, base=1, source=CardVersion.Source.SECOND)
    say(event, field[0], "7", 4)
    assert how_far(only(event)) == (True, False, False, 1)


def test_a_tie_for_first_place_waits_for_the_decision(event: Event, field: list[Entry]) -> None:
    for round_ in event.rounds.all():
        build_cards.save(round_, 1, [build_cards.line(field[1], 3)], base=1)
    assert len(tied_for_first(only(event))) == 2
    say(event, field[0], "7", 4)
    assert tied_for_first(only(event)) == []


def test_a_cut_is_not_made_on_a_card_that_is_not_decided(event: Event) -> None:
    entries = build_cards.make_field(event, 2)
    round_ = event.rounds.get(number=1)
    division = event.divisions.get(code="MA1")
    set_cut(division=division, after_round=1, players=1, percent=None, ties="all", reason="late", **FACTS)
    build_cards.publish(round_, [entries])
    build_cards.save(round_, 1, [build_cards.line(entry, 3 + at) for at, entry in enumerate(entries)])
    assert only(event).cuts[0].state is CutState.MADE
    build_cards.save(round_, 1, [build_cards.line(entries[0], 5)], source=CardVersion.Source.SECOND)
    assert only(event).cuts[0].state is CutState.PROJECTED


def test_what_is_verified_is_decided_whatever_a_phone_says_later(event: Event, field: list[Entry]) -> None:
    verify_card(round=last(event), group_number=1, why="typed", **FACTS)
    say_later = FACTS | {"now": build.NOW.replace(hour=23)}
    enter_holes(
        round=last(event), group_number=1, device_key=PHONE, device_name="",
        sayings=[Saying(uuid4(), 1, field[0].pk, "7", 5)], **say_later,
    )  # fmt: skip
    assert how_far(only(event)) == (True, True, True, 0)


def test_nothing_is_to_be_decided_once_the_event_is_over(event: Event, field: list[Entry]) -> None:
    say(event, field[0], "7", 4)
    event.over_at = build.NOW
    event.save()
    assert how_far(only(event)) == (True, True, True, 0)


def test_who_left_keeps_nobody_waiting(event: Event, field: list[Entry]) -> None:
    say(event, field[1], "7", 9)
    field[1].status = "did_not_finish"
    field[1].save()
    assert how_far(only(event)) == (True, True, True, 0)


def test_a_round_after_a_missed_cut_keeps_nobody_waiting(event: Event, field: list[Entry]) -> None:
    division = event.divisions.get(code="MA1")
    set_cut(division=division, after_round=1, players=1, percent=None, ties="all", reason="late", **FACTS)
    say(event, field[1], "7", 9)
    assert how_far(only(event)) == (True, True, True, 0)


def test_the_card_room_lists_the_card_as_differing(event: Event, field: list[Entry]) -> None:
    assert waiting(cards_of(last(event)), build.NOW) == []
    say(event, field[0], "7", 4)
    assert [each.kind for each in waiting(cards_of(last(event)), build.NOW)] == ["differs"]


def test_desk_phone_and_board_say_it(event: Event, field: list[Entry], client_as: Any) -> None:
    say(event, field[0], "7", 4)
    desk = client_as(Role.VIEWER).get(reverse("standings:overview", args=[event.slug])).content.decode()
    assert '<span class="needs">R2: hole 7 to be decided</span>' in desk
    assert "2 of 2 in, 1 card to be decided" in desk
    phone = Client().get(f"/board/{event.slug}/phone/").content.decode()
    assert "done · hole 7 to be decided" in phone
    kiosk = Client().get(f"/board/{event.slug}/").content.decode()
    assert "after round 2 of 2 · 1 card to be decided" in kiosk


def test_the_public_data_say_it_as_they_are_described(event: Event, field: list[Entry]) -> None:
    say(event, field[0], "7", 4)
    body = json.loads(Client().get(f"/board/{event.slug}/standings.json").content)
    described = json.loads(Client().get(f"/board/{event.slug}/openapi.json").content)
    schema = {"$ref": "#/components/schemas/Standings", "components": described["components"]}
    jsonschema.Draft202012Validator(schema).validate(body)
    (division,) = body["divisions"]
    assert (division["by_total"], division["settled"], division["undecided"]) == (True, False, 1)
    first = division["players"][0]["rounds"]
    assert [(each["undecided_holes"], each["undecided_card"]) for each in first] == [
        ([], False),
        (["7"], False),
    ]
