"""The pages of trophies of shared places, and of calls in a playoff."""

import re
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

import build
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.penalties.warning_acts import warn_for_event
from scoring.playoffs.calls import Told, write_call
from scoring.playoffs.models import Playoff, PlayoffCall, TrophyContest
from scoring.playoffs.queries import final_places
from scoring.playoffs.services import Agreed, begin

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def address(event: Event, name: str = "overview", *args: Any) -> str:
    return reverse(f"playoffs:{name}", args=[event.slug, *args])


def text_of(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.content.decode()))


@pytest.fixture
def card_room(client_as: Any) -> Any:
    return client_as(Role.CARD_ROOM)


def test_a_trophy_by_a_contest_from_the_tie_to_its_undo(
    event: Event, seconds: list[Entry], card_room: Any
) -> None:
    url = address(event, "contest", "MA1", 2)
    assert url in card_room.get(address(event)).content.decode()
    refused = card_room.post(url, {"what": "three putts from 10 m", "result": "3 of 3"})
    assert refused.status_code == 422
    assert "Choose who won." in refused.content.decode()
    assert 'value="three putts from 10 m"' in refused.content.decode()
    typed = {"what": "three putts from 10 m", "result": "3 of 3", "winner": seconds[2].pk}
    said = text_of(card_room.post(url, typed, follow=True))
    assert "MA1: Dov Pennock takes the trophy of place 2." in said
    assert "Trophy of place 2: Dov Pennock three putts from 10 m · 3 of 3" in said
    assert address(event, "begin_trophy", "MA1", 3) in card_room.get(address(event)).content.decode()
    assert [each.place for each in final_places(event)["MA1"]] == [1, 2, 2, 2]
    back = address(event, "contest_back", TrophyContest.objects.get().pk)
    assert "MA1: the trophy of place 2 is open again." in text_of(card_room.post(back, follow=True))
    assert "nobody is tied for this trophy any more" in text_of(
        card_room.get(address(event, "contest", "MA1", 3), follow=True)
    )


def test_a_trophy_by_a_playoff_and_who_is_left(event: Event, seconds: list[Entry], card_room: Any) -> None:
    for trophy, winner in ((2, seconds[1]), (3, seconds[3])):
        url = address(event, "begin_trophy", "MA1", trophy)
        assert "Only the trophy: the tie stands" in text_of(card_room.get(url))
        card_room.post(url, {"aggregate": 0, "holes": "", "seed": "5"})
        playoff = Playoff.objects.get(trophy=trophy)
        throws = {f"throws-{key}": 2 if key == winner.pk else 3 for key in playoff.players}
        card_room.post(address(event, "playoff", playoff.pk), {"index": 0, "seen": 1, **throws})
        shown = text_of(card_room.get(address(event, "playoff", playoff.pk)))
        assert f"{winner.person.name} wins the trophy of place {trophy}." in shown
        assert "Competition Manual 2025, 1.09.E" in shown
    shown = text_of(card_room.get(address(event)))
    assert f"Playoff for the trophy of place 3 : {seconds[3].person.name} wins." in shown
    assert f"Trophy of place 4: {seconds[2].person.name} the last of them" in shown
    assert [each.place for each in final_places(event)["MA1"]] == [1, 2, 2, 2]


@pytest.mark.usefixtures("seconds")
@pytest.mark.parametrize("role", [Role.DESK, Role.EQUIPMENT, Role.MARSHAL, Role.VIEWER])
def test_others_decide_no_trophy(event: Event, client_as: Any, role: Role) -> None:
    client = client_as(role)
    assert "Another contest" not in text_of(client.get(address(event)))
    assert "Write who won" not in text_of(client.get(address(event, "contest", "MA1", 2)))
    assert client.post(address(event, "contest", "MA1", 2), {"what": "x"}).status_code == 403


def test_a_warning_a_throw_and_taking_back(event: Event, tied: list[Entry], card_room: Any) -> None:
    playoff = begin(division=tied[0].division, after_round=0, agreed=Agreed(seed="7"), **FACTS)
    url, name = address(event, "call", playoff.pk), tied[0].person.name
    told = {
        "entry": tied[0].pk,
        "rule": "penalty.courtesy_distracting",
        "hole": 1,
        "caller": "",
        "what": "shouted",
    }
    refused = card_room.post(url, told | {"submission": str(uuid4())})
    assert refused.status_code == 422
    assert "Write who made the call." in refused.content.decode()
    assert 'value="shouted"' in refused.content.decode()
    told["caller"] = "Dov Pennock"
    said = text_of(card_room.post(url, told | {"submission": str(uuid4())}, follow=True))
    assert f"{name} is warned: Courtesy: distracting others." in said
    assert (
        f"{name} : Courtesy: distracting others, warning playoff hole 1 (hole 1) · shouted · Dov Pennock"
        in said
    )
    said = text_of(card_room.post(url, told | {"submission": str(uuid4())}, follow=True))
    assert (
        f"{name}: Courtesy: distracting others again, +1. Write it into the figure of playoff hole 1 (hole 1)."
        in said
    )
    first = PlayoffCall.objects.order_by("pk").first()
    assert first is not None
    back = address(event, "uncall", first.pk)
    assert "Write why the call does not count." in text_of(card_room.post(back, {"reason": ""}, follow=True))
    said = text_of(card_room.post(back, {"reason": "it was not them"}, follow=True))
    assert "taken back: it was not them" in said


def test_warnings_for_the_whole_event_stand_on_the_page_of_the_playoff(
    event: Event, tied: list[Entry], card_room: Any
) -> None:
    playoff = begin(division=tied[0].division, after_round=0, agreed=Agreed(seed="7"), **FACTS)
    warn_for_event(entry=tied[1], what="kicked a sign", submission=uuid4(), **FACTS)
    shown = text_of(card_room.get(address(event, "playoff", playoff.pk)))
    assert f"{tied[1].person.name} : warned for the whole event kicked a sign" in shown


@pytest.mark.parametrize("calls", [1, 3])
def test_the_page_of_a_playoff_costs_the_same_for_one_and_three_calls(
    event: Event, tied: list[Entry], card_room: Any, django_assert_num_queries: Any, calls: int
) -> None:
    playoff = begin(division=tied[0].division, after_round=0, agreed=Agreed(seed="7"), **FACTS)
    for entry in tied[:calls]:
        told = Told(entry=entry.pk, rule="penalty.courtesy", hole=1, caller="Dov Pennock")
        write_call(playoff=playoff, told=told, submission=uuid4(), **FACTS)
    # session, account, event, role; playoff, versions, names, rulebook, calls, event warnings, disc calls
    with django_assert_num_queries(11):
        card_room.get(address(event, "playoff", playoff.pk))
