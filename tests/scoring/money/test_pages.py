"""The pages of the event's money: statement, lines, cash box, paper and csv."""

import csv
import io
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

import build
import pdf_pages
from build_money import CARD, addon, buys, game, pays, writes
from events.setup.models import Role
from scoring.money import queries
from scoring.money.models import BoxCount, MoneyLine
from scoring.money.queries import statement
from scoring.money.statement import PrizeMoney

pytestmark = pytest.mark.django_db
Category = MoneyLine.Category


def page(name, event, *args):
    return reverse(f"money:{name}", args=[event.slug, *args])


@pytest.fixture
def director(client_as):
    return client_as(Role.DIRECTOR)


@pytest.fixture
def desk(client_as):
    return client_as(Role.DESK)


def line(**facts):
    return {
        "category": "printing", "cents": "20", "who": "Fern Print", "method": "cash", "on": "2026-06-12",
        "receipt": "17", "note": "", "submission": str(uuid4()), **facts,
    }  # fmt: skip


def fill(event, rows):
    sold = addon(event)
    for number in range(rows):
        entry = build.make_entry(event)
        buys(entry, sold)
        pays(entry, 500)
        game(event, name=f"Pot {number}")
        writes(event, Category.PRINTING, 100)


@pytest.mark.parametrize("rows", [1, 3])
def test_the_statement_asks_as_many_queries_whatever_there_is(
    event, rows, django_assert_num_queries, monkeypatch
):
    """Without those of the prizes, which are counted where they are read."""
    fill(event, rows)
    monkeypatch.setattr(queries, "prize_money", lambda _: PrizeMoney(unpaid=0, paid={}))
    with django_assert_num_queries(OWN):
        assert statement(event).section("purposes").total == rows * 5_000


OWN = 17


def test_with_the_prizes_it_asks_as_many_for_one_player_as_for_three():
    asked = []
    for rows in (1, 3):
        other = build.make_event(f"event-{rows}")
        fill(other, rows)
        with CaptureQueriesContext(connection) as found:
            statement(other)
        asked.append(len(found))
    assert asked[0] == asked[1]


def test_the_page_adds_up_and_names_what_is_open(event, director):
    pays(build.make_entry(event, paid_elsewhere_cents=0), 4_500, CARD)
    text = director.get(page("overview", event)).content.decode()
    for words in ("entry money", "$45.00", "no transaction fees are written", "due by 13 July 2026"):
        assert words in text


def test_only_the_director_reads_the_statement_and_the_desk_counts(event, desk, client_as):
    assert desk.get(page("overview", event)).status_code == 403
    assert desk.get(page("box", event)).status_code == 200
    viewer = client_as(Role.VIEWER)
    assert {viewer.get(page(name, event)).status_code for name in ("overview", "lines", "box")} == {403}


def test_a_line_is_written_and_reversed_with_a_reason(event, director):
    director.post(page("lines", event), line())
    written = MoneyLine.objects.get()
    assert (written.amount_cents, written.receipt) == (-2_000, "17")
    refused = director.post(page("reverse", event, written.pk), {"reason": ""})
    assert (refused.status_code, "Write why the line is reversed." in refused.content.decode()) == (422, True)
    director.post(page("reverse", event, written.pk), {"reason": "typed twice"})
    assert sum(MoneyLine.objects.values_list("amount_cents", flat=True)) == 0


def test_a_refused_line_keeps_what_was_typed(event, director):
    answer = director.post(page("lines", event), line(cents="1,250"))
    text = answer.content.decode()
    assert (answer.status_code, 'value="1,250"' in text, 'value="Fern Print"' in text) == (422, True, True)
    assert not MoneyLine.objects.exists()


def test_a_receipt_on_two_lines_is_said(event, director):
    for _ in range(2):
        director.post(page("lines", event), line())
    assert "Receipt 17 stands on 2 lines." in statement(event).open


def test_float_count_difference_and_reason(event, desk):
    desk.post(page("count", event, "opening"), {"opening-submission": str(uuid4()), "opening-piece2000": "3"})
    pays(build.make_entry(event, paid_elsewhere_cents=0), 4_500)
    desk.post(
        page("count", event, "closing"),
        {"closing-submission": str(uuid4()), "closing-piece5000": "2", "closing-way_card": "0"},
    )
    count = BoxCount.objects.get(kind="closing")
    assert count.differences == {"cash": -500, "card": 0}
    text = desk.get(page("box", event)).content.decode()
    assert "missing $5.00" in text
    refused = desk.post(page("explain", event, count.pk), {"reason": " "})
    assert refused.status_code == 422
    desk.post(page("explain", event, count.pk), {"reason": "change given twice"})
    count.refresh_from_db()
    assert count.reason == "change given twice"


def test_a_count_that_cannot_be_read_keeps_what_was_typed(event, desk):
    typed = {"opening-submission": str(uuid4()), "opening-piece2000": "many", "opening-piece500": "4"}
    answer = desk.post(page("count", event, "opening"), typed)
    text = answer.content.decode()
    assert (answer.status_code, 'value="many"' in text, 'value="4"' in text) == (422, True, True)


def test_a_count_of_another_kind_is_not_found(event, desk):
    assert desk.post(page("count", event, "noon")).status_code == 404


def test_the_print_is_one_page_and_every_part_adds_up(event, director):
    for code in ("MA1", "FA1"):
        for _ in range(3):
            build.make_entry(event, code, paid_elsewhere_cents=4_000)
    for kind in Category:
        writes(event, kind, 1_234)
    for number in range(3):
        game(event, name=f"Pot {number}", stake_cents=100)
    (sheet,) = pdf_pages.read(director.get(page("paper", event)).content)
    assert "Money of the event" in sheet.text
    found = statement(event)
    for section in found.sections:
        assert section.title.split()[0] in sheet.text or not section.lines


def test_the_csv_has_every_line_and_its_parts_sum_to_their_totals(event, director):
    pays(build.make_entry(event, paid_elsewhere_cents=0), 4_550, CARD)
    writes(event, Category.PRINTING, 1_234)
    text = director.get(page("table", event)).content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    parts = {row["part"] for row in rows if row["part"] != "open"}
    for part in parts:
        cents = [round(float(row["amount"]) * 100) for row in rows if row["part"] == part]
        assert sum(cents[:-1]) == cents[-1]
    assert ("Expenses", "-12.34") in {(row["part"], row["amount"]) for row in rows}
