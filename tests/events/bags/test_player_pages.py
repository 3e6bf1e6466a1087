"""The player's own page and the same box at the desk: addresses, forms, a phone's list of acts, query counts."""

import json
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from build import make_entry, make_event
from build_bags import act, make_bag, make_disc, make_list, send
from events.bags.links import bag_path, bag_token, scanned_code
from events.bags.models import BagAct
from events.bags.queries import bag_of
from events.entries.models import Entry
from events.setup.models import Event, Role
from players.models import Disc

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(event: Event) -> Entry:
    return make_entry(event)


def said(kind: str, disc: Any = None, round: Any = 1, **fields: Any) -> dict[str, Any]:
    return {
        "key": str(uuid4()),
        "kind": kind,
        "disc": str(disc) if disc else None,
        "round": str(round),
        "fields": fields,
        "said_at": "2026-06-12T06:59:00.000Z",
    }


def post(client: Client, url: str, *acts: Any) -> Any:
    return client.post(url, json.dumps({"acts": acts}), content_type="application/json")


def numbers(entry: Entry, round: int = 1) -> list[int]:
    return [disc.number for disc in bag_of(entry, entry.event.rounds.get(number=round)).carried]


@pytest.mark.parametrize("change", ["last", "code", "other", "none"])
def test_a_forged_address_is_no_page(client: Client, entry: Entry, change: str) -> None:
    token = bag_token(entry)
    code, _, signature = token.partition("~")
    forged = {
        "last": token[:-1] + ("A" if token[-1] != "A" else "B"),
        "code": f"{make_entry(entry.event).code}~{signature}",
        "other": code,
        "none": "x",
    }[change]
    assert client.get(f"/bag/{token}/").status_code == 200
    for tail in ("", "acts/", "models/", "advice/"):
        answer = post(client, f"/bag/{forged}/{tail}", said("add", uuid4(), model="Plinthor"))
        assert answer.status_code in {404, 405}
        assert client.get(f"/bag/{forged}/{tail}").status_code in {404, 405}
    assert not BagAct.objects.exists()


def test_a_scanner_may_type_the_address_or_the_token(entry: Entry) -> None:
    assert scanned_code(f"http://192.168.1.2:8000{bag_path(entry)}?round=2\r\n") == entry.code
    assert scanned_code(f" {bag_token(entry)} ") == entry.code
    assert scanned_code("Halvorsen") is None


def test_a_phones_acts_are_done_in_order_and_each_is_answered(client: Client, entry: Entry) -> None:
    key = uuid4()
    acts = [
        said("add", key, model="Plinthor", stamped_mass_g="174,5"),
        said("take_out", key),
        said("put_in", uuid4()),
        said("declare"),
    ]
    answer = post(client, f"{bag_path(entry)}acts/?round=1", *acts)
    assert [each["refused"] for each in answer.json()["answers"]] == [
        "",
        "",
        "That piece is not in this box.",
        "",
    ]
    assert [each["key"] for each in answer.json()["answers"]] == [each["key"] for each in acts]
    again = post(client, f"{bag_path(entry)}acts/?round=1", *acts)
    assert again.json()["answers"] == answer.json()["answers"]
    assert BagAct.objects.count() == 4
    assert numbers(entry) == []
    kept = BagAct.objects.first()
    assert (kept.source, kept.said_at.isoformat()) == ("phone", "2026-06-12T06:59:00+00:00")


@pytest.mark.parametrize(
    "body",
    [
        b" ",
        b"[]",
        b"{}",
        b'{"acts": 1}',
        b'{"acts": [1]}',
        b'{"acts": [{"key": "x", "kind": "add"}]}',
        b'{"acts": [{"key": "6c3a2b1e-9a0f-4a53-8c1e-2f6f3a1b7d10", "kind": "add", "fields": {"model": []}}]}',
        b"\xff\xfe",
        b"[" * 5000,
        json.dumps({"acts": [said("declare") for _ in range(201)]}).encode(),
    ],
)
def test_what_is_no_list_of_acts_is_refused_in_words(client: Client, entry: Entry, body: bytes) -> None:
    answer = client.post(f"{bag_path(entry)}acts/", body, content_type="application/json")
    assert answer.status_code == 422
    assert answer.json() == {"error": "The page sent something that is no list of acts. Load it again."}
    assert not BagAct.objects.exists()


@pytest.mark.parametrize("round", ["", "0", "9", "-1", "1e3", "²", None, "99999"])
def test_a_round_that_is_none_is_answered(client: Client, entry: Entry, round: Any) -> None:
    disc = make_disc(entry, round=None)
    answer = post(client, f"{bag_path(entry)}acts/?round=1", said("put_in", disc.key, round))
    assert answer.json()["answers"][0]["refused"].startswith("The event has no round ")
    assert numbers(entry) == []


def test_what_was_typed_stays_with_an_act_that_was_refused(client: Client, entry: Entry) -> None:
    send(entry, act("add", uuid4(), 1, model="Plinthor", stamped_mass_g="17", note="x" * 3000))
    kept = BagAct.objects.get()
    assert kept.after == {"model": "Plinthor", "stamped_mass_g": "17", "note": "x" * 200}
    assert not Disc.objects.exists()


def test_a_form_posts_one_act_and_comes_back_to_its_round(client: Client, entry: Entry) -> None:
    answer = client.post(
        bag_path(entry), {"kind": "add", "round": "2", "model": "Plinthor", "signed": "true"}
    )
    assert (answer.status_code, answer.url) == (302, f"{bag_path(entry)}?round=2")
    disc = Disc.objects.get()
    assert (disc.model, disc.signed, numbers(entry, 2)) == ("Plinthor", True, [1])
    answer = client.post(
        bag_path(entry), {"kind": "change", "disc": str(disc.key), "round": "2", "colour": "teal"}
    )
    disc.refresh_from_db()
    assert (answer.status_code, disc.colour, disc.signed) == (302, "teal", False)
    answer = client.post(bag_path(entry), {"kind": "add", "round": "2", "model": " "})
    assert answer.status_code == 422
    assert answer.context["refused"] == ("Write the model of the disc.",)


def test_the_page_opens_at_the_first_round_whose_card_is_not_in(entry: Entry) -> None:
    from events.bags.pages import chosen_round

    def number(asked: str | None, closed: set[int]) -> int:
        found = chosen_round(entry.event, asked, closed)
        assert found is not None
        return found.number

    assert [number(None, set()), number(None, {1}), number(None, {1, 2}), number("1", {1})] == [1, 2, 2, 1]
    assert chosen_round(make_event("empty", rounds=0), None) is None


def test_in_and_out_and_late_are_words(client: Client, entry: Entry) -> None:
    one = make_bag(entry, 2)[0]
    send(entry, act("take_out", one.key, 2), act("declare", round=2))
    make_disc(entry, round=2)
    page = client.get(f"{bag_path(entry)}?round=2").content.decode()
    assert "1 in, 1 out since last round" in page
    assert ">out<em>box</em>" in page
    assert ">late 07:00<em>in bag</em>" in page


def test_the_players_page_shows_no_contact(client: Client, entry: Entry) -> None:
    entry.person.birth_year = 1987
    entry.person.save(update_fields=["birth_year"])
    make_bag(entry, 1)
    page = client.get(bag_path(entry)).content.decode()
    assert entry.person.name in page
    assert "1987" not in page
    assert str(entry.person.member_number) not in page.replace(entry.person.name, "")


@pytest.mark.parametrize("over", [False, True])
def test_who_is_out_or_over_sees_the_bag_and_changes_nothing(
    client: Client, entry: Entry, over: bool
) -> None:
    disc = make_disc(entry)
    if over:
        Event.objects.filter(pk=entry.event_id).update(over_at="2026-06-14T18:00Z")
    else:
        Entry.objects.filter(pk=entry.pk).update(status="withdrawn")
    assert client.get(bag_path(entry)).status_code == 200
    answer = client.post(bag_path(entry), {"kind": "take_out", "disc": str(disc.key), "round": "1"})
    assert answer.status_code == 422
    assert numbers(entry) == [1]


@pytest.mark.parametrize("count", [1, 3])
def test_the_players_page_in_queries(
    client: Client, entry: Entry, count: int, django_assert_num_queries: Any
) -> None:
    make_list()
    make_bag(entry, count)
    client.get(bag_path(entry))
    with django_assert_num_queries(19):
        assert client.get(bag_path(entry)).status_code == 200


@pytest.mark.parametrize("count", [1, 3])
def test_acts_of_a_phone_in_queries(
    client: Client, entry: Entry, count: int, django_assert_num_queries: Any
) -> None:
    discs = make_bag(entry, count)
    with django_assert_num_queries({1: 32, 3: 46}[count]):  # seven for each act
        answer = post(
            client, f"{bag_path(entry)}acts/?round=1", *(said("take_out", disc.key) for disc in discs)
        )
    assert len(answer.json()["answers"]) == count


def test_the_desk_finds_by_scan_and_says_for_the_player(client_as: Any, event: Event, entry: Entry) -> None:
    make_bag(entry, 2)
    make_entry(event)
    client = client_as(Role.DESK)
    page = client.get("/desk/quiet-pines/bags/box/", {"q": f"http://laptop{bag_path(entry)}"})
    assert page.context["entry"] == entry
    assert [line.piece.disc.number for line in page.context["lines"]] == [1, 2]
    url = page.context["post_url"]
    disc = Disc.objects.get(number=2)
    answer = client.post(url, {"kind": "take_out", "disc": str(disc.key), "round": "1"})
    assert (answer.status_code, answer.url) == (302, url)
    assert BagAct.objects.last().source == "desk"
    assert numbers(entry) == [1]
    two = client.get("/desk/quiet-pines/bags/box/", {"q": "halvorsen"})
    assert (two.context["entry"], len(two.context["found"])) == (None, 2)
    assert client.get("/desk/quiet-pines/bags/box/", {"q": "nobody"}).context["nobody"] is True


def test_the_desk_answers_a_list_of_acts_as_the_phone_does(client_as: Any, entry: Entry) -> None:
    disc = make_disc(entry)
    url = f"/desk/quiet-pines/bags/box/{entry.pk}/acts/?round=1"
    answer = post(client_as(Role.EQUIPMENT), url, said("take_out", disc.key))
    assert [each["refused"] for each in answer.json()["answers"]] == [""]
    assert numbers(entry) == []


@pytest.mark.parametrize(
    ("role", "status"), [(Role.VIEWER, 403), (Role.CARD_ROOM, 403), (Role.MARSHAL, 403), (Role.DESK, 302)]
)
def test_who_may_change_a_box_at_the_desk(client_as: Any, entry: Entry, role: Role, status: int) -> None:
    disc = make_disc(entry)
    client = client_as(role)
    url = f"/desk/quiet-pines/bags/box/?round=1&entry={entry.pk}"
    assert client.get(url).status_code == 200
    sent = {"kind": "take_out", "disc": str(disc.key), "round": "1"}
    assert client.post(url, sent).status_code == status
    assert numbers(entry) == ([] if status == 302 else [1])


@pytest.mark.parametrize(
    ("typed", "unread"),
    [
        ("wind=12&temperature=-3,5", []),
        ("wind=&temperature=", []),
        ("wind=-5&temperature=-300", ["wind", "temperature"]),
        ("wind=9e99&temperature=20", ["wind"]),
        ("wind=8&temperature=%C2%B2", ["temperature"]),
    ],
)
def test_weather_that_cannot_be_is_told_and_advises_nothing(
    client: Client, entry: Entry, typed: str, unread: list[str]
) -> None:
    page = client.get(f"{bag_path(entry)}advice/?round=1&{typed}")
    assert page.context["unread"] == unread
    assert ("left out." in page.content.decode()) is bool(unread)


@pytest.mark.parametrize(
    ("role", "shown"),
    [
        (Role.DIRECTOR, True),
        (Role.DESK, True),
        (Role.EQUIPMENT, True),
        (Role.CARD_ROOM, False),
        (Role.MARSHAL, False),
        (Role.VIEWER, False),
    ],
)
def test_the_address_that_acts_as_the_player_is_shown_to_who_may_change_the_bag(
    client_as: Any, entry: Entry, role: Role, shown: bool
) -> None:
    page = client_as(role).get(f"/desk/quiet-pines/bags/box/?round=1&entry={entry.pk}").content.decode()
    assert (bag_path(entry) in page, "print the declaration" in page) == (shown, shown)


def test_an_entry_of_another_event_is_not_here(client_as: Any, entry: Entry) -> None:
    stranger = make_entry(make_event("elsewhere"))
    client = client_as(Role.DESK)
    page = client.get(f"/desk/quiet-pines/bags/box/?entry={stranger.pk}")
    assert page.context["entry"] is None
    url = f"/desk/quiet-pines/bags/box/{stranger.pk}/acts/?round=1"
    assert post(client, url, said("declare")).status_code == 404
    assert client.get("/desk/quiet-pines/bags/box/", {"q": bag_path(stranger)}).context["found"] == []
    assert not BagAct.objects.exists()
