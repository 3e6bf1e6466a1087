"""What a broken or unkind page may send about bags: none of it is an error of the laptop, and nothing grows endless."""

import json
import re
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from build import NOW, make_entry, make_event, make_person
from build_bags import act, make_bag, make_disc, send
from events.bags.links import bag_path
from events.bags.models import BagAct
from events.bags.services import MOST_KEPT, BagRefused
from events.entries.models import Entry
from events.setup.models import Event, Role
from players.models import Contact, Disc

pytestmark = pytest.mark.django_db
# PostgreSQL keeps neither in a text nor in JSON; no driver encodes a lone surrogate.
UNKEEPABLE = "a\x00b\ud800c"


@pytest.fixture
def entry(event: Event) -> Entry:
    return make_entry(event)


def said(kind: str, disc: Any = None, round: Any = 1, **fields: Any) -> dict[str, Any]:
    return {
        "key": str(uuid4()),
        "kind": kind,
        "disc": str(disc) if disc else None,
        "round": round,
        "fields": fields,
    }


def post(client: Client, entry: Entry, *acts: Any) -> Any:
    return client.post(
        f"{bag_path(entry)}acts/?round=1", json.dumps({"acts": acts}), content_type="application/json"
    )


def refusals(answer: Any) -> list[str]:
    assert answer.status_code == 200
    return [each["refused"] for each in answer.json()["answers"]]


def test_text_that_no_database_keeps_is_kept_without_what_nobody_sees(client: Client, entry: Entry) -> None:
    answer = post(
        client,
        entry,
        said("add", uuid4(), model=UNKEEPABLE, mark=UNKEEPABLE, wear=UNKEEPABLE),
        said(UNKEEPABLE),
        said("add", uuid4(), **{UNKEEPABLE: UNKEEPABLE}),
        said("add", uuid4(), model=UNKEEPABLE, mark=UNKEEPABLE),
    )
    assert refusals(answer) == [
        "Wear is one of new, first, half, worn, unknown.",
        "Nothing is known of an act “abc”.",
        "A piece has no field 'abc'.",
        "",
    ]
    assert list(Disc.objects.values_list("model", "mark")) == [("abc", "abc")]
    kept = list(BagAct.objects.order_by("pk").values_list("after", flat=True))
    assert kept[0] == {"model": "abc", "mark": "abc", "wear": "abc"}
    assert kept[2] == {"abc": "abc"}


@pytest.mark.parametrize(
    "moment",
    [
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-14:00",
        "2026-06-12",
        "x" * 5000,
        "2026-02-30T10:00:00Z",
    ],
)
def test_a_phones_clock_may_be_anywhere(client: Client, entry: Entry, moment: str) -> None:
    act = said("add", uuid4(), model="Plinthor") | {"said_at": moment}
    assert refusals(post(client, entry, act)) == [""]
    assert BagAct.objects.get().said_at is None


@pytest.mark.parametrize("round", ["１", "²", "-1", "0", "1e999", 10**30, 1.5, [1], {"a": 1}, True])
def test_a_round_that_is_none_is_named(client: Client, entry: Entry, round: Any) -> None:
    (why,) = refusals(post(client, entry, said("declare", round=round)))
    assert why.startswith("The event has no round ")


@pytest.mark.parametrize(
    "mass", ["sNaN", "NaN", "Infinity", "1e9999999", "-175", "²", 10**40, True, "9" * 4000]
)
def test_a_mass_that_is_none_is_named(client: Client, entry: Entry, mass: Any) -> None:
    (why,) = refusals(post(client, entry, said("add", uuid4(), model="Plinthor", stamped_mass_g=mass)))
    assert "mass" in why
    assert not Disc.objects.exists()


@pytest.mark.parametrize("mark", ["m" * 61, "m" * 100_000])
def test_words_too_long_are_said_not_cut(client: Client, entry: Entry, mark: str) -> None:
    (why,) = refusals(post(client, entry, said("add", uuid4(), model="Plinthor", mark=mark)))
    assert why == f"The mark is {len(mark)} letters long: at most 60."
    assert BagAct.objects.get().after["mark"] == mark[:200]


@pytest.mark.parametrize(
    "body",
    [
        "{",
        "[]",
        "1",
        "null",
        '{"acts": 1}',
        '{"acts": [1]}',
        '{"acts": [{}]}',
        "[" * 90_000,
        "\xff",
        '{"acts": [{"key": 5, "kind": "add"}]}',
    ],
)
def test_what_is_no_list_of_acts_is_said_to_be_none(client: Client, entry: Entry, body: str) -> None:
    answer = client.post(f"{bag_path(entry)}acts/", body.encode("latin-1"), content_type="application/json")
    assert (answer.status_code, answer.json()) == (
        422,
        {"error": "The page sent something that is no list of acts. Load it again."},
    )


def test_acts_need_the_token_of_the_page(entry: Entry) -> None:
    strict = Client(enforce_csrf_checks=True)
    body = json.dumps({"acts": [said("add", uuid4(), model="Plinthor")]})
    url = f"{bag_path(entry)}acts/?round=1"
    assert strict.post(url, body, content_type="application/json").status_code == 403
    strict.get(bag_path(entry))
    token = strict.cookies["csrftoken"].value
    assert (
        strict.post(url, body, content_type="application/json", headers={"X-CSRFToken": token}).status_code
        == 200
    )


def test_a_page_of_an_event_that_is_over_or_has_no_rounds(client: Client, event: Event, entry: Entry) -> None:
    make_disc(entry)
    Event.objects.update(over_at=NOW)
    answer = post(client, entry, said("declare"))
    assert refusals(answer) == ["The event is over: bags stay as they are."]
    assert "<summary>change" not in answer.json()["html"]
    event.rounds.all().delete()
    assert post(client, entry, said("declare")).status_code == 404


@pytest.mark.parametrize("text", ["１２", "²", "x" * 5000, "-1", "9" * 15, "9" * 40])
@pytest.mark.parametrize("tail", ["box/", "desk/", "calls/", "", "lists/", "spot-checks/"])
def test_a_desk_may_type_anything(client_as: Any, event: Event, entry: Entry, tail: str, text: str) -> None:
    make_bag(entry, 1)
    client = client_as(Role.DIRECTOR)
    query = {"q": text, "round": text, "entry": text, "at": text, "after": text}
    assert client.get(f"/desk/quiet-pines/bags/{tail}", query).status_code == 200


def test_a_piece_of_another_box_is_not_to_be_had_by_its_key(client: Client, entry: Entry) -> None:
    theirs = make_disc(make_entry(make_event("elsewhere")))
    answer = post(client, entry, said("take_out", theirs.key), said("add", theirs.key, model="Mine"))
    assert refusals(answer) == ["That piece is not in this box.", "That piece is in another box."]
    theirs.refresh_from_db()
    assert (theirs.model, theirs.person.entries.get().event.slug) == ("Ostwall Plinthor", "elsewhere")


@pytest.mark.parametrize("tail", ["", "advice/", "models/"])
def test_no_page_of_a_slip_says_more_of_a_person_than_the_name(
    client: Client, event: Event, tail: str
) -> None:
    person = make_person("Quillfeather", birth_year=1961, member_number=770123, rating=913, town="Ostwick")
    Contact.objects.create(person=person, email="q@example.org", phone="0151 2233", emergency_name="Marrowby")
    entry = make_entry(event, person=person, paid_elsewhere_cents=0)
    make_bag(entry, 1)
    make_bag(make_entry(event, person=make_person("Tolliver")), 1)
    page = client.get(f"{bag_path(entry)}{tail}").content.decode()
    page = re.sub(r"static/\w+/|[\w-]{20,}", "", page)  # keys and versions hold any three digits by chance
    private = [
        "1961",
        "770123",
        "913",
        "Ostwick",
        "q@example.org",
        "0151 2233",
        "Marrowby",
        "Tolliver",
        "45.00",
    ]
    assert [word for word in private if word in page] == []


def test_whoever_holds_a_slip_cannot_fill_the_laptop_and_the_desk_goes_on(
    client: Client, entry: Entry
) -> None:
    kept = {"entry": entry, "kind": "declare", "source": "phone", "received_at": NOW, "by": "x"}
    BagAct.objects.bulk_create(BagAct(key=uuid4(), **kept) for _ in range(MOST_KEPT - 1))
    first = said("add", uuid4(), model="Plinthor")
    assert post(client, entry, first, said("declare")).status_code == 422
    assert BagAct.objects.count() == MOST_KEPT - 1
    assert refusals(post(client, entry, first)) == [""]
    answer = post(client, entry, said("declare"))
    assert (answer.status_code, answer.json()) == (
        422,
        {"error": "More was said of this box than a page may send: say the rest at the desk."},
    )
    assert refusals(post(client, entry, first)) == [""]  # sent again, it is still the act that is there
    with pytest.raises(BagRefused):
        send(entry, act("declare", round=1))
    assert [each.refused for each in send(entry, act("declare", round=1), source="desk")] == [""]
    assert BagAct.objects.count() == MOST_KEPT + 1
