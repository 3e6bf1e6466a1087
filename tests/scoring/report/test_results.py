"""Results for others: JSON by its schema, csv, paper. Nothing of a player but name, town and division."""

import csv
import io
import json
import math
from typing import Any

import jsonschema
import pytest
from django.urls import reverse

import build
import build_cards
import pdf_pages
from build_ratings import play, play_field
from build_report import EXTRA, SCORES, recount
from events.entries.models import Entry
from events.setup.models import Event, Role
from players.models import Contact
from scoring.ratings.compression import to_places
from scoring.ratings.queries import ratings_of
from scoring.report.paper import results_pdf
from scoring.report.result_views import SCHEMA

ROUNDS = [1, 2]


@pytest.fixture
def field(event: Event) -> list[Entry]:
    entries = build_cards.make_field(event, 4)
    for entry in entries:
        entry.person.town = "Tarn"
        entry.person.save()
    other = build.make_entry(event, "FA1", person=build.make_person("Fenwick", "=Oda"))
    for index, number in enumerate(ROUNDS):
        round_ = event.rounds.get(number=number)
        build_cards.publish(round_, [[*entries, other]])
        lines = [
            build_cards.line(
                entry,
                SCORES[entry.person.name][index],
                additional=EXTRA.get(entry.person.name, 0) if number == 1 else 0,
                additional_reason="late card",
            )
            for entry in entries
        ]
        build_cards.save(round_, 1, lines)
    return [*entries, other]


def take(event: Event, client_as: Any, name: str) -> bytes:
    content: bytes = client_as(Role.VIEWER).get(reverse(f"report:{name}", args=[event.slug])).content
    return content


@pytest.mark.usefixtures("field")
def test_the_json_is_what_its_schema_says(event: Event, client_as: Any) -> None:
    schema = json.loads(SCHEMA.read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    body = json.loads(take(event, client_as, "json"))
    jsonschema.validate(body, schema, format_checker=jsonschema.FormatChecker())
    assert (body["format"], body["version"]) == ("starthorn-results", 1)
    players = {player["name"]: player for player in body["divisions"][0]["players"]}
    for name in SCORES:
        totals, total = recount(name)
        rounds = players[name]["rounds"]
        assert [each["throws"] for each in rounds] == SCORES[name]
        assert [each["total"] if each["complete"] else None for each in rounds] == totals
        if total is not None:
            assert players[name]["total"] == total
    (other,) = body["divisions"][1]["players"]
    assert (other["name"], other["place"], other["total"]) == ("=Oda Fenwick", None, None)
    assert [each["throws"] for each in other["rounds"]] == [[None] * 18] * 2
    assert [each["total"] for each in other["rounds"]] == [None, None]


def test_the_schema_refuses_what_is_not_in_it(event: Event, client_as: Any) -> None:
    body = json.loads(take(event, client_as, "json"))
    body["divisions"] = [
        {"code": "MA1", "name": None, "final": False, "remarks": [], "rounds": [], "players": [{}]}
    ]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(body, json.loads(SCHEMA.read_text()))


@pytest.mark.usefixtures("field")
def test_the_csv_has_a_line_for_each_round(event: Event, client_as: Any) -> None:
    text = take(event, client_as, "csv").decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == 2 * 5
    eskola = [row for row in rows if row["name"] == "Niko Eskola"]
    assert [(row["round"], row["round_total"], row["additional_penalties"]) for row in eskola] == [
        ("1", "59", "2"),
        ("2", "56", "0"),
    ]
    assert [int(eskola[0][f"h{hole}"]) for hole in range(1, 19)] == SCORES["Niko Eskola"][0]
    missing = next(row for row in rows if row["name"] == "Dov Pennock" and row["round"] == "2")
    assert missing["h18"] == ""
    assert missing["h17"] == "3"
    assert rows[-1]["name"] == "'=Oda Fenwick"  # no program takes it for a formula
    assert (rows[-1]["round_total"], rows[-1]["place"], rows[-1]["h1"]) == ("", "", "")


@pytest.mark.parametrize("name", ["json", "csv", "paper"])
def test_nothing_personal_but_name_town_and_division(
    event: Event, field: list[Entry], client_as: Any, name: str
) -> None:
    person = field[0].person
    person.member_number, person.birth_year, person.club = 987654, 1931, "Leakclub"
    person.save()
    Contact.objects.create(person=person, email="leak@mail.example", phone="555-0471")
    content = take(event, client_as, name)
    text = " ".join(sheet.text for sheet in pdf_pages.read(content)) if name == "paper" else content.decode()
    assert "Moravec" in text
    assert "Tarn" in text
    secrets = ["987654", "1931", "Leakclub", "leak@", "0471", field[0].code]
    assert [secret for secret in secrets if secret in text] == []


@pytest.mark.usefixtures("field")
@pytest.mark.parametrize("name", ["json", "csv", "paper"])
def test_the_town_is_left_out_where_the_event_does_not_show_it(
    event: Event, client_as: Any, name: str
) -> None:
    event.show_town = False
    event.save()
    content = take(event, client_as, name)
    text = " ".join(sheet.text for sheet in pdf_pages.read(content)) if name == "paper" else content.decode()
    assert "Tarn" not in text


@pytest.mark.usefixtures("field")
def test_the_paper_says_whether_it_is_final(event: Event) -> None:
    def words() -> str:
        return " ".join(sheet.text for sheet in pdf_pages.read(results_pdf(event, codes=None, now=build.NOW)))

    assert "not final" in words()
    event.over_at = build.NOW
    event.save()
    assert "final results" in words()
    assert "not final" not in words()


@pytest.fixture
def rated(event: Event) -> list[Entry]:
    """Two rounds, each rated by the one-parameter line: a small field."""
    entries = play_field(event)
    play(event, [(entry, 61 + 2 * at) for at, entry in enumerate(entries)], 2)
    return entries


@pytest.mark.usefixtures("rated")
def test_the_json_says_how_each_round_was_rated(event: Event, client_as: Any) -> None:
    body = json.loads(take(event, client_as, "json"))
    jsonschema.validate(body, json.loads(SCHEMA.read_text()))
    pools = ratings_of(event)
    first = body["ratings"][0]
    assert (first["title"], first["rounds"], first["layout"], first["holes"]) == (
        "Round 1, Upper",
        [1],
        "Upper",
        18,
    )
    assert (first["method"], first["edition"], first["propagators"]) == ("proportional", "formula_2013", 6)
    assert [each["ssa"] for each in body["ratings"]] == [float(pool.rating.ssa or 0) for pool in pools]
    rounds = [
        each for division in body["divisions"] for player in division["players"] for each in player["rounds"]
    ]
    assert len(rounds) == 12
    assert all(each["rated_as"] == each["number"] for each in rounds)
    for each in rounds:
        pool = body["ratings"][each["rated_as"] - 1]
        exact = 1000 + (pool["ssa"] - each["total"]) * pool["points_per_throw"]
        assert each["rating_estimated"] == math.floor(exact)


@pytest.mark.usefixtures("field")
def test_the_json_says_why_a_round_is_not_rated(event: Event, client_as: Any) -> None:
    body = json.loads(take(event, client_as, "json"))
    assert [each["refused"] for each in body["ratings"]] == [
        "Too few propagators to rate this round: 0 of at least 2."
    ] * 2
    (player, *_) = body["divisions"][0]["players"]
    assert [(each["rating_estimated"], each["rated_as"]) for each in player["rounds"]] == [(None, None)] * 2


@pytest.mark.usefixtures("rated")
def test_the_csv_says_method_edition_and_average_beside_each_rating(event: Event, client_as: Any) -> None:
    rows = list(csv.DictReader(io.StringIO(take(event, client_as, "csv").decode("utf-8-sig"))))
    average = {pool.rounds[0]: str(to_places(pool.rating.ssa or 0, 3)) for pool in ratings_of(event)}
    assert len(rows) == 12
    for row in rows:
        assert (row["rating_method"], row["rating_edition"]) == ("proportional", "formula_2013")
        assert row["rating_ssa"] == average[int(row["round"])]


def test_the_csv_of_who_has_no_card_keeps_its_columns(event: Event, client_as: Any) -> None:
    build_cards.make_field(event, 1)
    (row,) = csv.DictReader(io.StringIO(take(event, client_as, "csv").decode("utf-8-sig")))
    assert (row["round"], row["rating_estimated"], row["rating_method"], row["rating_ssa"]) == ("",) * 4
    assert None not in row


@pytest.mark.usefixtures("rated")
def test_the_paper_says_how_each_round_was_rated(event: Event, client_as: Any) -> None:
    address = reverse("report:paper", args=[event.slug])
    sheets = pdf_pages.read(client_as(Role.VIEWER).get(address).content)
    text = " ".join(" ".join(sheet.text for sheet in sheets).split())
    for number, pool in enumerate(ratings_of(event), start=1):
        average = to_places(pool.rating.ssa or 0, 2)
        assert f"Round {number}, Upper: one-parameter line, average {average};" in text
    assert text.count("points per throw by the formula of 2013.") == 1
    assert [found for sheet in sheets for found in pdf_pages.collisions(sheet)] == []
    assert [found for sheet in sheets for found in pdf_pages.strays(sheet)] == []


@pytest.mark.usefixtures("field")
def test_the_paper_of_one_division(event: Event, client_as: Any) -> None:
    client = client_as(Role.VIEWER)
    address = reverse("report:paper", args=[event.slug])
    sheets = pdf_pages.read(client.get(address, {"division": "MA1"}).content)
    text = " ".join(sheet.text for sheet in sheets)
    assert "Moravec" in text
    assert "Fenwick" not in text
    assert [found for sheet in sheets for found in pdf_pages.collisions(sheet)] == []
    assert [found for sheet in sheets for found in pdf_pages.strays(sheet)] == []
    assert client.get(address, {"division": "none"}).status_code == 302
