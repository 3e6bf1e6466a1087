"""The standings as JSON: as described, for any page, and nothing personal."""

import json
from datetime import datetime, timedelta
from typing import Any

import jsonschema
import pytest
import time_machine
from django.test import Client

import build
import build_cards
from events.entries.models import Entry
from events.safety.services import post_notice
from events.setup.models import Event
from players.models import Contact

AT_START = datetime.fromisoformat("2026-06-12T08:59:00+00:00")


@pytest.fixture(autouse=True)
def _at_start() -> Any:
    with time_machine.travel(AT_START, tick=False):
        yield


def get(event: Event, path: str, **headers: str) -> Any:
    return Client().get(f"/board/{event.slug}/{path}", headers=headers)


def play(event: Event, entries: list[Entry], throws: Any = 3) -> None:
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [entries])
    build_cards.save(round_, 1, [build_cards.line(entry, throws) for entry in entries])


def checked(event: Event, answer: Any, name: str = "Standings") -> dict[str, Any]:
    """The answer, once the schema that the description names for it has been held against it."""
    described = json.loads(get(event, "openapi.json").content)
    schema = {"$ref": f"#/components/schemas/{name}", "components": described["components"]}
    body = json.loads(answer.content)
    jsonschema.Draft202012Validator(schema).validate(body)
    return body  # type: ignore[no-any-return]


def test_the_standings_are_as_described(event: Event) -> None:
    one, two, three = build_cards.make_field(event, 3)
    play(event, [one, two], [2, *[3] * 16, None])
    three.status = "did_not_finish"
    three.save()
    build.make_entry(event, "FA1")
    body = checked(event, get(event, "standings.json"))
    assert body["event"]["name"] == "Quiet Pines Open"
    (division,) = body["divisions"]
    assert (division["code"], division["settled"], len(division["rounds"])) == ("MA1", False, 2)
    first = division["players"][0]
    assert (first["entry"], first["place"], first["tied"], first["to_par"]) == (one.pk, 1, True, -6)
    assert first["rounds"][0]["throws"] == [2, *[3] * 16, None]
    assert first["rounds"][0]["starts_at_hole"] == "1"
    assert first["rounds"][1]["throws"] is None
    last = division["players"][-1]
    assert (last["state"], last["place"], last["total"]) == ("did not finish", None, None)


def test_one_division_alone(event: Event) -> None:
    entries = [*build_cards.make_field(event, 2), build.make_entry(event, "FA1")]
    play(event, entries)
    body = checked(event, get(event, "standings/FA1.json"))
    assert [each["code"] for each in body["divisions"]] == ["FA1"]
    nobody = get(event, "standings/MPO.json")
    assert nobody.status_code == 404
    assert checked(event, nobody, "Problem") == {"error": "There are no standings of MPO here."}


def test_what_is_known_already_is_answered_from_the_log_alone(
    event: Event, django_assert_num_queries: Any
) -> None:
    entries = build_cards.make_field(event, 2)
    play(event, entries)
    first = get(event, "standings.json")
    etag, revision = first["ETag"], json.loads(first.content)["revision"]
    for path, headers, status in (
        ("standings.json", {"if-none-match": etag}, 304),
        ("standings.json", {"if-none-match": f'"other", W/{etag}'}, 304),
        ("standings/MA1.json", {"if-none-match": etag}, 304),
        (f"standings.json?revision={revision}", {}, 204),
    ):
        with django_assert_num_queries(1):  # the end of the log
            answer = get(event, path, **headers)
        assert (answer.status_code, answer.content, answer["ETag"]) == (status, b"", etag)
    build_cards.save(event.rounds.get(number=1), 1, [build_cards.line(entries[0], 2)], base=1)
    assert get(event, "standings.json", **{"if-none-match": etag}).status_code == 200


def test_what_changes_without_an_act_is_not_known_already(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 2)])
    post_notice(event=event, kind="news", title="Soup", text="", until=None, actor=build.ACTOR, now=AT_START)
    etag = get(event, "standings.json")["ETag"]
    with time_machine.travel(AT_START + timedelta(minutes=2), tick=False):
        assert get(event, "standings.json", **{"if-none-match": etag}).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["standings.json", "standings/MA1.json", "overall.json", "openapi.json", "round-1.ics", "nothing.json"],
)
def test_any_page_may_read_and_none_may_write(event: Event, path: str) -> None:
    play(event, build_cards.make_field(event, 1))
    if path == "nothing.json":
        assert get(event, path).status_code == 404
        return
    answer = get(event, path, origin="https://club.example")
    assert (answer.status_code, answer["Access-Control-Allow-Origin"]) == (200, "*")
    asked_first = Client().options(f"/board/{event.slug}/{path}")
    assert asked_first["Access-Control-Allow-Headers"] == "If-None-Match"
    refused = Client().post(f"/board/{event.slug}/{path}")
    assert (refused.status_code, refused["Allow"]) == (405, "GET, HEAD, OPTIONS")


@pytest.mark.parametrize(
    "path", ["standings.json", "overall.json", "openapi.json", "round-1.ics", "player/1.ics"]
)
def test_an_event_that_is_not_there_says_so(db: None, path: str) -> None:
    answer = Client().get(f"/board/nowhere/{path}")
    assert answer.status_code == 404
    assert list(json.loads(answer.content)) == ["error"]


@pytest.mark.parametrize(
    "path", ["standings.json", "standings/MA1.json", "overall.json", "round-1.ics", "player/{entry}.ics"]
)
@pytest.mark.parametrize("show_town", [True, False])
def test_nothing_personal_gets_out(event: Event, path: str, show_town: bool) -> None:
    event.show_town = show_town
    event.save()
    person = build.make_person(
        "Moravec",
        "Ludvik",
        member_number=70471,
        birth_year=1971,
        rating=947,
        town="Tarn Edge",
        club="Leak Club",
    )
    Contact.objects.create(person=person, email="secret-mail@leak.example", phone="555-0471")
    entry = build.make_entry(
        event, person=person, guardian="Secret Guardian", note="secret note", code="LEAKCODE"
    )
    play(event, [entry, build.make_entry(event, "FA1")])
    text = get(event, path.format(entry=entry.pk)).content.decode()
    assert "Ludvik Moravec" in text
    assert ("Tarn Edge" in text) is (show_town and path.endswith("json"))
    secrets = [
        "70471",
        "1971",
        "947",
        "Leak Club",
        "secret-mail",
        "555-0471",
        "Guardian",
        "secret note",
        "LEAKCODE",
    ]
    assert [secret for secret in secrets if secret in text] == []


@pytest.mark.parametrize("players", [1, 3])
def test_the_answer_takes_the_same_queries_for_any_field(
    event: Event, django_assert_num_queries: Any, players: int
) -> None:
    play(event, build_cards.make_field(event, players))
    with django_assert_num_queries(19):  # event; end of the log; 17 as the board
        get(event, "standings.json")
    with django_assert_num_queries(2):
        get(event, "standings/MA1.json")
