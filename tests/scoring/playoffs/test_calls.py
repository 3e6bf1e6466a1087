"""Calls in a playoff: the warning first, then the throws, counted within one playoff alone."""

from typing import Any
from uuid import UUID, uuid4

import pytest

import build
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event
from scoring.penalties.models import Warning
from scoring.playoffs.calls import Told, take_call_back, write_call
from scoring.playoffs.claiming import PlayoffRefused
from scoring.playoffs.models import Playoff, PlayoffCall
from scoring.playoffs.services import Agreed, begin, drop

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
SLOW = "penalty.excessive_time"


@pytest.fixture
def playoff(event: Event, tied: list[Entry]) -> Playoff:
    return begin(division=tied[0].division, after_round=0, agreed=Agreed(seed="7"), **FACTS)


def call(playoff: Playoff, entry: Entry, key: UUID | None = None, **told: Any) -> PlayoffCall:
    facts = {"entry": entry.pk, "rule": SLOW, "hole": 1, "caller": "Dov Pennock"} | told
    return write_call(playoff=playoff, told=Told(**facts), submission=key or uuid4(), **FACTS)


def test_the_first_breach_warns_and_the_next_costs_a_throw(playoff: Playoff, tied: list[Entry]) -> None:
    assert [call(playoff, tied[0]).throws for _ in range(3)] == [0, 1, 1]
    assert call(playoff, tied[1]).throws == 0
    assert call(playoff, tied[0], rule="penalty.courtesy").throws == 0


def test_a_warning_of_the_round_does_not_count_in_the_playoff(
    event: Event, playoff: Playoff, tied: list[Entry]
) -> None:
    """Official Rules 2025, 801.02.C: warnings of a round lapse."""
    Warning.objects.create(
        entry=tied[0],
        round=event.rounds.get(number=2),
        rule=SLOW,
        hole_label="3",
        caller="Dov Pennock",
        submission=uuid4(),
        at=build.NOW,
        by="Tester",
    )
    assert call(playoff, tied[0]).throws == 0


def test_nor_does_one_of_another_playoff(event: Event, playoff: Playoff, tied: list[Entry]) -> None:
    call(playoff, tied[0])
    drop(playoff=playoff, reason="other holes were announced", **FACTS)
    again = begin(division=tied[0].division, after_round=0, agreed=Agreed(seed="8"), **FACTS)
    assert call(again, tied[0]).throws == 0


def test_what_is_taken_back_counts_no_longer_and_stays_to_be_read(
    playoff: Playoff, tied: list[Entry]
) -> None:
    first = call(playoff, tied[0])
    take_call_back(call=first, reason="the way was not clear", **FACTS)
    take_call_back(call=first, reason="once more", **FACTS)
    assert call(playoff, tied[0]).throws == 0
    first.refresh_from_db()
    assert first.taken_back_reason == "the way was not clear"
    assert Act.objects.filter(action="playoff.call_taken_back").count() == 1


def test_sent_twice_it_is_one_call(playoff: Playoff, tied: list[Entry]) -> None:
    key = uuid4()
    assert call(playoff, tied[0], key).pk == call(playoff, tied[0], key).pk
    with pytest.raises(PlayoffRefused, match="had written another call already"):
        call(playoff, tied[1], key)
    assert PlayoffCall.objects.count() == 1


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"rule": "penalty.stance"}, "Choose a rule that warns first"),
        ({"hole": 2}, "Choose one of the holes 1 to 1 of the playoff"),
        ({"hole": 0}, "Choose one of the holes 1 to 1 of the playoff"),
        ({"caller": " "}, "Write who made the call"),
    ],
)
def test_what_cannot_be_written_is_refused(
    playoff: Playoff, tied: list[Entry], told: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(PlayoffRefused, match=sentence):
        call(playoff, tied[0], **told)


def test_only_players_of_the_playoff_are_called(playoff: Playoff, tied: list[Entry]) -> None:
    with pytest.raises(PlayoffRefused, match="Choose a player of this playoff"):
        call(playoff, tied[3])


def test_taking_back_needs_a_reason_and_an_event_that_goes_on(
    event: Event, playoff: Playoff, tied: list[Entry]
) -> None:
    made = call(playoff, tied[0])
    with pytest.raises(PlayoffRefused, match="Write why the call does not count"):
        take_call_back(call=made, reason=" ", **FACTS)
    event.over_at = build.NOW
    event.save()
    with pytest.raises(PlayoffRefused, match="The event is over"):
        take_call_back(call=made, reason="why", **FACTS)


def test_the_log_names_player_playoff_and_rule(playoff: Playoff, tied: list[Entry]) -> None:
    call(playoff, tied[0])
    act = Act.objects.get(action="playoff.call")
    assert act.subject == f"{tied[0].person.name}, playoff of MA1 for first place"
    assert act.detail == {"rule": SLOW, "hole": 1, "throws": 0, "caller": "Dov Pennock"}
