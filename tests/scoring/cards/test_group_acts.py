"""What a group's phone sends: each act answered by its key, once; and what the phone is told in return."""

import json
from collections.abc import Callable, Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.test import Client

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event, Round
from players.models import Contact
from scoring.cards import group_acts
from scoring.cards.group_acts import NoActs, read_acts
from scoring.cards.links import group_path
from scoring.cards.models import Card, Confirmation, Device, GroupMessage, HoleEntry, StandingLine

pytestmark = pytest.mark.django_db

PHONE, OTHER = "4a2c3c19-6c54-4a3e-a5ab-c5e26f2fd25b", "8f0d7f54-4f0b-4b53-9d15-9b6a4f0ad1c2"


@pytest.fixture(autouse=True)
def _counts_from_nothing() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    entries = make_field(event, 4)
    publish(round_, [entries[:3], entries[3:]])
    return entries


def score(entry: Entry, hole: str, throws: int | None, seq: int = 1, **more: Any) -> dict[str, Any]:
    act = {"key": str(uuid4()), "kind": "score", "seq": seq, "entry": entry.pk, "hole": hole}
    return act | {"throws": throws, "over": [], "typed_at": "2026-06-12T09:00:00Z"} | more


def send(
    client: Client, round: Round, *acts: dict[str, Any], device: str = PHONE, name: str = "Moravec’s phone"
) -> Any:
    body = json.dumps({"device": device, "name": name, "acts": acts})
    return client.post(f"{group_path(round, 1)}acts/", body, content_type="application/json")


def refused(answer: Any) -> list[str]:
    return [each["refused"] for each in answer.json()["answers"]]


def said(answer: Any, entry: Entry, hole: str) -> list[tuple[str, int | None]]:
    cells = answer.json()["told"]["cells"]
    found = next(cell for cell in cells if cell["entry"] == entry.pk and cell["hole"] == hole)
    return [(voice["name"], voice["throws"]) for voice in found["said"]]


def test_each_act_is_answered_by_its_key_and_done_once(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    acts = [score(field[0], "1", 3), score(field[0], "2", 4, 2), score(field[1], "1", 5, 3)]
    first, again = send(client, round_, *acts), send(client, round_, *reversed(acts))

    assert [each["key"] for each in first.json()["answers"]] == [act["key"] for act in acts]
    assert refused(first) == refused(again) == ["", "", ""]
    assert HoleEntry.objects.count() == 3
    assert StandingLine.objects.get(entry=field[0]).throws[:3] == [3, 4, None]
    assert first["Cache-Control"] == "no-store"
    assert Device.objects.get().name == "Moravec’s phone"
    assert Act.objects.filter(actor="Moravec’s phone, group 1", action="holes.said").count() == 1


def test_an_act_that_cannot_be_takes_none_of_the_others_with_it(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    acts = [
        score(field[0], "1", 3),
        score(field[3], "1", 3, 2),
        score(field[0], "99", 3, 3),
        score(field[0], "2", 31, 4),
        score(field[1], "1", 4, 5),
    ]
    answer = send(client, round_, *acts)

    assert refused(answer) == [
        "",
        "This player is not in the group: tell the desk.",
        "Ludvik Moravec, hole 99: the layout has no such hole any more. Tell the desk.",
        "Ludvik Moravec, hole 2: A hole score is between 1 and 30; 31 cannot be.",
        "",
    ]
    assert sorted(HoleEntry.objects.values_list("throws", flat=True)) == [3, 4]


def test_two_phones_that_differ_are_told_both_figures_and_the_group_decides(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    ours, theirs = score(field[0], "5", 3), score(field[0], "5", 4)
    send(client, round_, ours)
    answer = send(client, round_, theirs, device=OTHER, name="Eskola’s phone")
    assert said(answer, field[0], "5") == [("Moravec’s phone", 3), ("Eskola’s phone", 4)]
    assert StandingLine.objects.get(entry=field[0]).throws[4] is None

    decided = send(client, round_, score(field[0], "5", 3, 2, over=[theirs["key"]]))
    assert said(decided, field[0], "5") == [("Moravec’s phone", 3)]
    assert StandingLine.objects.get(entry=field[0]).throws[4] == 3


def test_a_player_says_yes_to_what_stands_and_to_nothing_else(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    send(client, round_, *[score(field[0], str(hole), 3, hole) for hole in range(1, 19)])
    yes = {"key": str(uuid4()), "kind": "confirm", "seq": 30, "entry": field[0].pk}
    wrong = send(client, round_, yes | {"figures": [3] * 17 + [4], "total": 55})
    assert refused(wrong) == ["The scores have changed meanwhile: look at them again."]
    right = send(client, round_, yes | {"figures": [3] * 18, "total": 54})
    assert refused(right) == [""]
    assert right.json()["told"]["yes"][0] | {"words": ""} == {
        "entry": field[0].pk,
        "total": 54,
        "holds": True,
        "words": "",
    }

    changed = send(client, round_, score(field[0], "18", 4, 31))
    assert changed.json()["told"]["yes"][0]["holds"] is False
    assert Confirmation.objects.get().total == 54


def test_a_group_asks_for_a_ruling_and_reports_a_danger(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    ruling = {"key": str(uuid4()), "kind": "ruling", "seq": 1, "entry": field[1].pk, "hole": "7"}
    danger = {"key": str(uuid4()), "kind": "danger", "seq": 2, "hole": "", "words": "Wasps at the bench"}
    answer = send(client, round_, ruling | {"words": "In or out?"}, danger, ruling | {"words": ""})

    assert refused(answer) == ["", "", ""]  # the third is the first again, by its key
    told = answer.json()["told"]["messages"]
    assert [(each["kind"], each["hole"], each["who"], each["text"]) for each in told] == [
        ("ruling", "7", "Hale Oyelaran", "In or out?"),
        ("danger", "", "", "Wasps at the bench"),
    ]
    assert GroupMessage.objects.count() == 2
    empty = send(client, round_, danger | {"key": str(uuid4()), "words": " "})
    assert refused(empty) == ["Write in a few words what it is about, then send it again."]


def test_after_verification_entries_are_acknowledged_and_kept_and_change_nothing(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    save(round_, 1, [line(entry, 3) for entry in field[:3]])
    Card.objects.update(verified_at=build.NOW, verified_by="Tester")
    answer = send(client, round_, score(field[0], "5", 4))

    assert refused(answer) == [""]
    assert answer.json()["told"]["verified"] is True
    assert HoleEntry.objects.get().throws == 4
    assert StandingLine.objects.get(entry=field[0]).total == 54


def test_once_the_event_is_over_each_score_is_refused_with_the_reason(
    client: Client, event: Event, round_: Round, field: list[Entry]
) -> None:
    event.over_at = build.NOW
    event.save()
    answer = send(client, round_, score(field[0], "1", 3), score(field[0], "2", 3, 2))
    assert refused(answer) == ["The event is over: cards stay as they are."] * 2
    assert answer.json()["told"]["over"] is True


def test_a_request_without_the_token_of_the_page_is_refused(round_: Round, field: list[Entry]) -> None:
    strict = Client(enforce_csrf_checks=True)
    assert send(strict, round_, score(field[0], "1", 3)).status_code == 403
    page = strict.get(group_path(round_, 1))
    token = page.cookies["csrftoken"].value
    body = json.dumps({"device": PHONE, "name": "", "acts": [score(field[0], "1", 3)]})
    answer = strict.post(
        f"{group_path(round_, 1)}acts/", body, content_type="application/json", headers={"X-CSRFToken": token}
    )
    assert (answer.status_code, HoleEntry.objects.count()) == (200, 1)


def test_the_phone_is_told_nothing_of_people_but_names_and_divisions(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    for entry in field:
        Contact.objects.create(person=entry.person, email="secret@example.org", phone="555 0100")
    text = client.get(f"{group_path(round_, 1)}state/").content.decode()
    assert "Ludvik Moravec" in text
    words = ["secret", "555 0100", "Niko Eskola", field[0].code, str(field[0].person.member_number)]
    assert [word for word in words if word in text] == []


@pytest.mark.parametrize("players", [1, 3])
def test_queries_of_the_state(
    client: Client, event: Event, round_: Round, players: int, django_assert_num_queries: Callable
) -> None:
    field = make_field(event, players)
    publish(round_, [field])
    send(client, round_, *[score(entry, "1", 3) for entry in field])
    state = f"{group_path(round_, 1)}state/"
    # 1 round and address, 1 end of the log, 8 the card, 3 cells, 2 confirmations, 1 hazards, 1 rulings, 1 stop,
    # 1 messages, 2 descriptions of holes
    with django_assert_num_queries(21):
        told = client.get(state).json()["told"]
    # 1 round and address, 1 end of the log
    with django_assert_num_queries(2):
        assert client.get(state, {"seen": told["seen"]}).status_code == 204
    send(client, round_, score(field[0], "2", 3, 2))
    assert client.get(state, {"seen": told["seen"]}).status_code == 200


def test_a_group_that_a_later_sheet_dropped_is_told_so(
    client: Client, round_: Round, field: list[Entry]
) -> None:
    publish(round_, [field[:3]])
    answer = client.get(f"{group_path(round_, 2)}state/")
    assert answer.json() == {"gone": "Group 2 is not on the tee sheet of round 1 any more."}


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{}",
        b'{"device": "x", "acts": []}',
        json.dumps({"device": PHONE, "acts": {}}).encode(),
        json.dumps({"device": PHONE, "acts": [{"key": PHONE, "kind": "score", "seq": "1"}]}).encode(),
        json.dumps({"device": PHONE, "acts": [{"key": PHONE, "kind": "wish", "seq": 1}]}).encode(),
        json.dumps({"device": PHONE, "acts": [{"key": PHONE, "kind": "score", "seq": True}]}).encode(),
        json.dumps(
            {"device": PHONE, "acts": [{"key": PHONE, "kind": "score", "seq": 1, "over": ["x"]}]}
        ).encode(),
        json.dumps({"device": PHONE, "acts": [{"kind": "score"}] * (group_acts.MOST_ACTS + 1)}).encode(),
        b'{"device": ' + b"[" * 100_000,
    ],
)
def test_what_is_no_list_of_acts_is_refused_with_a_sentence(body: bytes) -> None:
    with pytest.raises(NoActs, match=r"^The page sent something that is no list of acts\. Load it again\.$"):
        read_acts(body)


def test_a_phones_clock_that_is_far_off_says_nothing() -> None:
    def typed(text: Any) -> Any:
        act = {"key": PHONE, "kind": "score", "seq": 1, "typed_at": text}
        return read_acts(json.dumps({"device": PHONE, "acts": [act]}).encode()).acts[0].typed_at

    assert typed("2026-06-12T09:00:00.000Z").isoformat() == "2026-06-12T09:00:00+00:00"
    assert [typed(text) for text in ("2026-06-12T09:00:00", "1970-01-01T00:00:00Z", "noon", 5, None)] == [
        None
    ] * 5
