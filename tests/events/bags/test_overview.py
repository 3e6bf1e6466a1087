from decimal import Decimal
from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from openpyxl import load_workbook

import pdf_pages
from build import ACTOR, NOW, make_entry
from build_bags import act, make_bag, make_disc, make_list, send
from events.bags.models import Call
from events.bags.overview import standing_of
from events.bags.scales import register_scale
from events.bags.waiting import Waiting, waiting_of
from events.bags.weighings import question_disc, weigh
from events.bags.workbook import equipment_workbook
from events.entries.models import Entry
from events.setup.models import Event, Role

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(event: Event) -> Entry:
    make_list()
    return make_entry(event)


def row_of(event: Event, number: int = 1) -> Any:
    (row,) = standing_of(event, event.rounds.get(number=number)).rows
    return row


def weigh_it(entry: Entry, disc: Any, reading: str) -> None:
    scale = entry.event.scales.first() or register_scale(
        event=entry.event, name="fine", kind="class_iii", resolution_g=Decimal("0.1"), actor=ACTOR, now=NOW
    )
    weigh(
        entry=entry, disc=disc, round=entry.event.rounds.get(number=1), scale=scale, reading_g=Decimal(reading),
        submission=uuid4(), actor=ACTOR, now=NOW,
    )  # fmt: skip


def test_who_has_said_nothing_has_no_count_of_discs(event: Event, entry: Entry) -> None:
    row = row_of(event)
    assert (row.pieces, row.declared_at, row.weighed, row.open_words) == (None, None, 0, ())


def test_what_is_open_is_counted_in_words(event: Event, entry: Entry) -> None:
    heavy, near, own, asked = (make_disc(entry) for _ in range(4))
    make_disc(entry, "Homemade Thing")
    weigh_it(entry, heavy, "176.3")
    weigh_it(entry, near, "176.0")
    question_disc(
        entry=entry, disc=asked, round=None, asked_by="R. Rask", reason="thick", actor=ACTOR, now=NOW
    )
    send(entry, act("declare", round=1))
    row = row_of(event)
    assert (row.pieces, row.declared_at, row.weighed) == (5, NOW, 2)
    assert row.open_words == (
        "2 not to throw",
        "1 not proven",
        "1 not on the list",
        "1 questioned",
        "2 weighed without a valid scale check",
    )
    assert own.pk not in {each.disc.pk for each in row.forbidden}


def test_swaps_are_counted_against_the_round_before(event: Event, entry: Entry) -> None:
    first, *_ = make_bag(entry, 3)
    send(entry, act("take_out", first.key, 2))
    make_disc(entry, round=2)
    row = row_of(event, 2)
    assert (row.pieces, row.came_in, row.went_out) == (3, 1, 1)


def test_calls_of_the_round_are_counted(event: Event, entry: Entry) -> None:
    for taken_back in (None, NOW):
        Call.objects.create(
            entry=entry, round=event.rounds.get(number=1), hole_label="3", kinds=["illegal"], caller="A", warning=False,
            throws=2, rule="discs.illegal_throws", submission=uuid4(), at=NOW, by="T", taken_back_at=taken_back,
        )  # fmt: skip
    assert row_of(event).calls == 1


@pytest.mark.parametrize("count", [1, 3])
def test_the_standing_costs_the_same_for_one_and_three(
    event: Event, count: int, django_assert_num_queries: Any
) -> None:
    make_list()
    for _ in range(count):
        make_bag(make_entry(event), 2)
    round_ = event.rounds.get(number=1)
    with django_assert_num_queries(14):
        assert len(standing_of(event, round_).rows) == count


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_the_same_for_one_and_three(
    event: Event, count: int, client_as: Any, django_assert_num_queries: Any
) -> None:
    make_list()
    for _ in range(count):
        make_bag(make_entry(event), 2)
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(24):
        assert client.get(reverse("bags:overview", args=[event.slug])).status_code == 200


def test_the_day_page_hears_what_only_the_director_decides(event: Event, entry: Entry) -> None:
    assert waiting_of(event) == Waiting(0, 0, 0, no_list=False)
    disc = make_disc(entry, "Homemade Thing")
    question_disc(
        entry=entry, disc=disc, round=None, asked_by="R. Rask", reason="thick", actor=ACTOR, now=NOW
    )
    assert waiting_of(event) == Waiting(1, 0, 1, no_list=False, questioned=(entry.pk, None))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("paper_declarations", "Bag of"),
        ("paper_desk", "Equipment desk"),
        ("paper_weighings", "Record of weighings"),
        ("paper_keepsakes", "Keepsake discs"),
    ],
)
def test_every_paper_is_there_before_and_after_something_was_said(
    event: Event, entry: Entry, client_as: Any, name: str, words: str
) -> None:
    client = client_as(Role.DIRECTOR)
    url = reverse(f"bags:{name}", args=[event.slug, 1])
    assert words in pdf_pages.read(client.get(url).content)[0].text
    weigh_it(entry, make_disc(entry), "170.0")
    sheets = pdf_pages.read(client.get(url).content)
    assert words in sheets[0].text
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)


def test_a_declaration_is_for_whoever_hands_out_paper(event: Event, entry: Entry, client_as: Any) -> None:
    url = reverse("bags:paper_declaration", args=[event.slug, entry.pk, 1])
    assert [client_as(role).get(url).status_code for role in (Role.DESK, Role.VIEWER)] == [200, 403]


def test_the_workbook_is_for_who_works_with_equipment_and_offered_to_nobody_else(
    event: Event, entry: Entry, client_as: Any
) -> None:
    """Its column of marks holds telephone numbers that players write on their discs."""
    make_disc(entry, mark="555 0199")
    url = reverse("bags:workbook", args=[event.slug])
    page = reverse("bags:overview", args=[event.slug])
    for role in Role:
        client, may = client_as(role), role in (Role.DIRECTOR, Role.DESK, Role.EQUIPMENT)
        assert client.get(url).status_code == (200 if may else 403), role
        assert (url in client.get(page).content.decode()) == may, role


def test_the_workbook_holds_every_fact_and_no_missing_figure_as_zero(event: Event, entry: Entry) -> None:
    disc = make_disc(entry, colour="=red")
    weigh_it(entry, disc, "170.0")
    book = load_workbook(BytesIO(equipment_workbook(event)))
    assert book.sheetnames == [
        "Round 1",
        "Round 2",
        "Weighings",
        "Looked at",
        "Questioned",
        "Calls",
        "Spot checks",
    ]
    head, row = list(book["Round 1"].values)
    facts = dict(zip(head, row, strict=True))
    assert (facts["no."], facts["model"], facts["stamped g"], facts["colour"]) == (
        1,
        "Plinthor",
        None,
        "'=red",
    )
    weighed = dict(zip(*list(book["Weighings"].values), strict=True))
    assert (weighed["reading g"], weighed["listed limit g"], weighed["valid check"]) == (170, 176, False)
