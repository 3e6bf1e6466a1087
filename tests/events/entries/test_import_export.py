"""Entries as a file: readable by the import, without what is private for who may not see them, safe in any program."""

import csv
import io

import openpyxl
import pytest
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.entries.export import HEADINGS, PRIVATE_HEADINGS, export_rows
from events.entries.importing import bring_in
from events.entries.models import Entry, EntryAddOn, Payment, Status
from events.entries.services import take_payment
from events.setup.models import AddOn, Role
from events.sheets.safe import write_xlsx
from players.models import Contact, Person

pytestmark = pytest.mark.django_db

EVIL = '=HYPERLINK("http://x.example";"Ines")'


def body_of(client, kind: str) -> bytes:
    answer = client.get(reverse("entries:export", args=["quiet-pines", kind]))
    assert answer.status_code == 200
    assert answer["Content-Disposition"].startswith('attachment; filename="quiet-pines-entries-')
    return answer.content


def csv_rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))


def test_one_row_an_entry_by_surname(event):
    build.make_entry(event, person=build.make_person("Rask", "Ødd", member_number=70002, may_enter_f=False))
    entry = build.make_entry(
        event, "FA1", person=build.make_person("Halvorsen", member_number=70001), pack="L"
    )
    head, first, second = export_rows(event, private=False)
    assert tuple(head) == HEADINGS
    shown = dict(zip(HEADINGS, first, strict=True))
    assert {name: shown[name] for name in ("Given name", "Member number", "Division", "Pack size", "Status")} == {
        "Given name": "Ines", "Member number": 70001, "Division": "FA1", "Pack size": "L", "Status": "confirmed",
    }  # fmt: skip
    assert (shown["Paid amount"], shown["Owed"], shown["Code"]) == (45, 0, entry.code)
    assert (shown["Registered at"], shown["Checked in"]) == (NOW.replace(tzinfo=None), None)
    assert dict(zip(HEADINGS, second, strict=True))["Gender eligibility"] == "M"


@pytest.mark.parametrize(
    ("role", "private"),
    [
        (Role.DIRECTOR, True), (Role.DESK, True), (Role.CARD_ROOM, False), (Role.EQUIPMENT, False),
        (Role.MARSHAL, False),
    ],
)  # fmt: skip
def test_what_is_private_is_for_the_director_and_the_desk(event, client_as, role, private):
    junior = build.make_person(birth_year=2013, member_number=None)
    entry = build.make_entry(event, person=junior, guardian="Ada Morwen", note="asthma")
    Contact.objects.create(person=entry.person, email="ines@mail.example", phone="555 0101")
    secrets = {"2013", "Ada Morwen", "asthma", "ines@mail.example", "555 0101"}
    for kind in ("csv", "xlsx"):
        data = body_of(client_as(role), kind)
        rows = csv_rows(data) if kind == "csv" else None
        if rows is None:
            sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
            rows = [[str(cell or "") for cell in row] for row in sheet.iter_rows(values_only=True)]
        assert rows[0] == [*HEADINGS, *(PRIVATE_HEADINGS if private else ())]
        assert secrets & set(rows[1]) == (secrets if private else set())


def test_a_viewer_takes_nothing_home(event, client_as):
    assert client_as(Role.VIEWER).get("/desk/quiet-pines/entries/export/csv/").status_code == 403


def test_another_kind_of_file_is_not_there(event, client_as):
    assert client_as(Role.DIRECTOR).get("/desk/quiet-pines/entries/export/pdf/").status_code == 404


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r+", "＝"])
def test_text_that_could_be_a_formula_is_neutral_in_both_kinds(event, client_as, start):
    build.make_entry(event, person=build.make_person(f"{start}cmd", town=f"{start}1+1"), note=f"{start}A1")
    client = client_as(Role.DIRECTOR)
    (_, row) = csv_rows(body_of(client, "csv"))
    sheet = openpyxl.load_workbook(io.BytesIO(body_of(client, "xlsx"))).worksheets[0]
    cells = [cell for cell in sheet[2] if cell.value is not None]
    assert [cell.data_type for cell in cells if cell.data_type == "f"] == []
    texts = [*row, *(cell.value for cell in cells if isinstance(cell.value, str))]
    assert [text for text in texts if text.lstrip()[:1] in tuple("=+-@＝")] == []
    assert sum("cmd" in text for text in texts) == 2


def test_an_export_brought_in_again_changes_nothing(event):
    AddOn.objects.create(event=event, name="Lunch", fee_cents=500)
    first = build.make_entry(
        event, person=build.make_person("van der Łoś", "Åke", town="+Tarn", birth_year=1990)
    )
    second = build.make_entry(
        event, "FA1", person=build.make_person(EVIL, "Runa", may_enter_f=True, rating=None)
    )
    build.make_entry(event, status=Status.WITHDRAWN)
    EntryAddOn.objects.create(entry=first, addon=AddOn.objects.get())
    Entry.objects.filter(pk=second.pk).update(paid_elsewhere_cents=0, status=Status.APPLIED)
    take_payment(entry=second, amount_cents=4500, method=Payment.Method.CASH, actor=ACTOR, now=NOW)
    Contact.objects.create(
        person=first.person, email="a@mail.example", emergency_name="Odd", emergency_phone="55501"
    )
    before = [list(model.objects.order_by("pk").values()) for model in (Entry, Person, Contact, EntryAddOn)]
    data = write_xlsx({"Entries": export_rows(event, private=True)})
    outcome = bring_in(event=event, name="export.xlsx", data=data, actor=ACTOR, now=NOW)
    assert (outcome.new, outcome.updated, outcome.unchanged) == (0, 0, 3)
    after = [list(model.objects.order_by("pk").values()) for model in (Entry, Person, Contact, EntryAddOn)]
    assert after == before


@pytest.mark.parametrize("size", [1, 3])
def test_the_queries_do_not_grow(event, size, django_assert_num_queries):
    for _ in range(size):
        build.make_entry(event)
    with django_assert_num_queries(3):
        export_rows(event, private=True)
