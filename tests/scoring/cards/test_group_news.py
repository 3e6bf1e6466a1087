"""What is new since the state that a group's phone has: scores alone while nothing else was written."""

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
from build_cards import line, make_field, publish, save
from events.course.hazards import note_hazard
from events.entries.models import Entry
from events.log.actions import Action
from events.log.models import Act
from events.log.services import record, revision
from events.safety.services import post_notice
from events.setup.models import Event, Round
from scoring.cards.asking import answer_group, ask_desk
from scoring.cards.calling import keep_call
from scoring.cards.group_news import FACTS_HOLD_SECONDS, Seen, read_seen
from scoring.cards.links import group_path
from scoring.cards.models import Card, CardVersion, Device, HoleEntry, StandingLine
from scoring.cards.radio import Call
from scoring.cards.rulings import make_ruling

pytestmark = pytest.mark.django_db

AS_DONE = {"actor": build.ACTOR, "now": build.NOW}
Told = dict[str, Any]


@pytest.fixture(autouse=True)
def _a_moment_and_counts_from_nothing() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(build.NOW, tick=False):
        yield
    cache.clear()


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    """Two groups: three players and one."""
    entries = make_field(event, 4)
    publish(round_, [entries[:3], entries[3:]])
    return entries


class Phone:
    """Keeps what it was told and lays news over it, as the page's script does."""

    def __init__(self, client: Client, round: Round, group: int = 1) -> None:
        self.client, self.path, self.device, self.seq = client, group_path(round, group), str(uuid4()), 0
        self.told: Told = client.get(f"{self.path}state/").json()["told"]

    def says(self, *figures: tuple[Entry, str, int | None], **more: Any) -> Told:
        """Send scores together with the state that is held; the answer, laid over it."""
        acts = []
        for entry, hole, throws in figures:
            self.seq += 1
            act = {"key": str(uuid4()), "kind": "score", "seq": self.seq, "entry": entry.pk, "hole": hole}
            acts.append(act | {"throws": throws, "over": []})
        return self.sends(*acts, **more)

    def sends(self, *acts: dict[str, Any], **more: Any) -> Told:
        cache.clear()
        body = {"device": self.device, "name": "", "acts": acts} | self.state() | more
        sent = self.client.post(f"{self.path}acts/", json.dumps(body), content_type="application/json")
        answer: Told = sent.json()
        assert {each["refused"] for each in answer["answers"]} == {""}
        self.told = answer["told"] if "told" in answer else with_news(self.told, answer["news"])
        return answer

    def state(self) -> Told:
        return {"seen": self.told["seen"], "heard": self.told["heard"]}

    def looks(self) -> int:
        return self.client.get(f"{self.path}state/", self.state()).status_code


def with_news(told: Told, news: Told) -> Told:
    fresh = {(cell["entry"], cell["hole"]) for cell in news["cells"]}
    lines = {each["entry"]: each for each in news["players"]}
    return told | news | {
        "cells": [cell for cell in told["cells"] if (cell["entry"], cell["hole"]) not in fresh] + news["cells"],
        "players": [player | lines.get(player["entry"], {}) for player in told["players"]],
    }  # fmt: skip


def in_order(told: Told) -> Told:
    return told | {"cells": sorted(told["cells"], key=lambda cell: (cell["entry"], cell["hole"]))}


def test_a_phone_is_told_the_scores_that_are_new_and_nothing_again(
    client: Client, event: Event, round_: Round, field: list[Entry]
) -> None:
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3), (field[1], "1", 4))
    answer = phone.says((field[1], "2", 5))

    act = Act.objects.latest("number")
    entry = HoleEntry.objects.latest("pk")
    said = {"key": str(entry.key), "device": phone.device, "name": "another phone", "throws": 5}
    throws = [4, 5, *[None] * 16]
    assert answer["news"] == {
        "seen": f"{act.number}.{int(build.NOW.timestamp()) // FACTS_HOLD_SECONDS}.{act.hash[:12]}",
        "heard": entry.pk,
        "clock": "07:00",
        "cells": [{"entry": field[1].pk, "hole": "2", "typed": False, "said": [said]}],
        "players": [
            {"entry": field[1].pk, "counts": throws, "throws": throws, "additional": 0, "on_total": 0}
        ],
    }
    assert "told" not in answer
    assert phone.looks() == 204


def test_what_another_phone_of_the_group_said_comes_with_the_next_answer(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    one, two = Phone(client, round_), Phone(client, round_)
    for phone in (one, two):
        phone.says((field[2], "9", 3))
    two.says((field[0], "1", 3), (field[1], "1", 4))
    assert one.looks() == 200

    answer = one.says((field[0], "1", 5))

    cells = [(cell["entry"], cell["hole"]) for cell in answer["news"]["cells"]]
    assert sorted(cells) == [(field[0].pk, "1"), (field[1].pk, "1"), (field[2].pk, "9")]
    assert in_order(one.told) == in_order(Phone(client, round_).told)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_news_laid_over_what_was_told_are_the_whole_state(
    client: Client, round_: Round, field: list[Entry], data: Any
) -> None:
    """Two phones speak in any order, of any hole, also twice; a card that is typed in between stands before them."""
    for model in (HoleEntry, StandingLine, CardVersion):
        model.objects.all().delete()
    phones = [Phone(client, round_), Phone(client, round_)]
    figure = st.tuples(st.sampled_from(field[:3]), st.sampled_from("123"), st.sampled_from((None, 2, 3, 4)))
    for turn in range(data.draw(st.integers(2, 6), label="turns")):
        phone = data.draw(st.sampled_from(phones), label="who")
        if turn == 2 and data.draw(st.booleans(), label="the card room types"):
            save(round_, 1, [line(field[0], [4, *[None] * 17])], submission=uuid4())
        phone.says(*data.draw(st.lists(figure, min_size=1, max_size=3), label="what"))
        whole = Phone(client, round_).told
        assert in_order(phone.told) == in_order(whole)


def _typed(round: Round, field: list[Entry]) -> None:
    save(round, 1, [line(field[0], [4, *[None] * 17])])


def _ruled(round: Round, field: list[Entry]) -> None:
    make_ruling(entry=field[0], round=round, hole_label="", throws=2, rule="Official Rules 2025, 803.03",
         what="damaging the course", caller="", confirmer="", origin="test", **AS_DONE)  # fmt: skip


def _noted(round: Round, field: list[Entry]) -> None:
    facts = {"what": "Wasps", "severity": "minor", "risk_player": True, "on_card": True}
    note_hazard(event=round.event, facts=facts, holes=[], **AS_DONE)


def _posted(round: Round, field: list[Entry]) -> None:
    post_notice(event=round.event, kind="hazard", title="Wasps", text="Hole 7.", until=None, **AS_DONE)


def _answered(round: Round, field: list[Entry]) -> None:
    asked = ask_desk(round=round, group_number=1, kind="ruling", entry_id=None, hole="", text="In or out?",
                     key=uuid4(), device_key=None, **AS_DONE)  # fmt: skip
    answer_group(message=asked, answer="In.", **AS_DONE)


def _redrawn(round: Round, field: list[Entry]) -> None:
    publish(round, [field[:2], field[2:]])
    record(chain=round.event.slug, action=Action.DRAW_PUBLISHED, subject="round 1", **AS_DONE)


def _called(round: Round, field: list[Entry]) -> None:
    keep_call(round=round, call=Call(1, 3, (0, 0, 1)), key=uuid4(), **AS_DONE)


@pytest.mark.parametrize("act", [_typed, _ruled, _noted, _posted, _answered, _redrawn, _called])
def test_after_any_other_act_the_phone_is_told_everything(
    client: Client, round_: Round, field: list[Entry], act: Callable[[Round, list[Entry]], None]
) -> None:
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3))
    assert phone.looks() == 204
    act(round_, field)
    assert phone.looks() == 200

    assert "told" in phone.says((field[1], "1", 3))
    assert in_order(phone.told) == in_order(Phone(client, round_).told)
    assert "news" in phone.says((field[1], "2", 3))


def test_scores_of_other_groups_are_no_news(client: Client, round_: Round, field: list[Entry]) -> None:
    phone, theirs = Phone(client, round_), Phone(client, round_, group=2)
    theirs.says((field[3], "1", 3))
    phone.says((field[0], "1", 3))
    theirs.says((field[3], "2", 3), (field[3], "3", 3))

    assert phone.looks() == 204
    answer = phone.says((field[0], "2", 4))
    assert [cell["hole"] for cell in answer["news"]["cells"]] == ["2"]


def test_what_a_phone_of_another_group_says_of_our_player_is_told(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    """It was offline while the player was moved, and does not know yet."""
    publish(round_, [field[:2], field[2:]])
    theirs = Phone(client, round_, group=2)
    publish(round_, [field[:3], field[3:]])
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3))
    theirs.says((field[2], "1", 5))
    assert phone.looks() == 200
    assert "told" in phone.says((field[2], "2", 3))
    assert in_order(phone.told) == in_order(Phone(client, round_).told)


@pytest.mark.parametrize(
    "state",
    [
        {"seen": "", "heard": None},
        {"heard": None},
        {"seen": "1.2"},
        {"seen": "99999999999999999999.1.000000000000"},
        {"seen": "1.2.zzzzzzzzzzzz"},
    ],
)
def test_a_phone_that_names_no_state_is_told_everything(
    client: Client, round_: Round, field: list[Entry], state: Told
) -> None:
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3))
    assert "told" in phone.says((field[0], "2", 3), **state)


def test_another_copy_of_the_data_is_not_the_one_that_was_seen(
    client: Client, event: Event, round_: Round, field: list[Entry]
) -> None:
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3))
    had = read_seen(phone.told["seen"])
    assert had is not None
    other = Seen(had.revision, had.span, "0" * 12)
    assert client.get(f"{phone.path}state/", phone.state() | {"seen": str(other)}).status_code == 200
    assert "told" in phone.says((field[0], "2", 3), seen=str(other))
    ahead = Seen(revision(event.slug) + 5, had.span, had.head)
    assert "told" in phone.says((field[0], "3", 3), seen=str(ahead))


def test_everything_is_told_again_after_a_while(client: Client, round_: Round, field: list[Entry]) -> None:
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3))
    with time_machine.travel(build.NOW + timedelta(seconds=FACTS_HOLD_SECONDS), tick=False):
        assert phone.looks() == 200
        assert "told" in phone.says((field[0], "2", 3))


def test_a_verified_card_a_retry_and_more_than_scores_are_told_whole(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    phone = Phone(client, round_)
    phone.says((field[0], "1", 3))
    kept = HoleEntry.objects.get()
    again = {"key": str(kept.key), "kind": "score", "seq": 1, "entry": field[0].pk, "hole": "1", "throws": 3}
    assert "told" in phone.sends(again)
    asked = {"key": str(uuid4()), "kind": "danger", "seq": 9, "hole": "", "words": "Wasps"}
    assert len(phone.sends(again | {"key": str(uuid4()), "seq": 8}, asked)["told"]["messages"]) == 1
    Card.objects.filter(group_number=1).update(verified_at=build.NOW, verified_by="Tester")
    assert phone.says((field[0], "2", 3))["told"]["verified"] is True


def test_nine_holes_that_come_at_once_are_one_act_of_the_log(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    phone = Phone(client, round_)
    phone.says(*[(entry, str(hole), 3) for hole in range(1, 10) for entry in field[:3]])
    assert (HoleEntry.objects.count(), Act.objects.filter(action="holes.said").count()) == (27, 1)
    assert [player["throws"][:10] for player in phone.told["players"]] == [[3] * 9 + [None]] * 3


@pytest.mark.parametrize("rows", [1, 3])
def test_queries_of_a_saved_hole(
    client: Client, round_: Round, field: list[Entry], rows: int, django_assert_num_queries: Callable
) -> None:
    phone = Phone(client, round_)
    phone.says(*[(entry, "18", 3) for entry in field[:3]])
    Device.objects.update(last_at=build.NOW)
    # 1 round and address, 18 to keep and count it, 1 whether anything else was written
    with django_assert_num_queries(20):
        assert "news" in phone.says(*[(entry, "1", 3) for entry in field[:rows]])
    # 1 round and address, 1 end of the log, 1 whether anything else was written, 1 what phones said since
    Phone(client, round_, group=2).says((field[3], "1", 3))
    with django_assert_num_queries(4):
        assert phone.looks() == 204
