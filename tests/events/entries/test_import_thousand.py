"""A thousand entrants with twenty planted faults, through the service into the database."""

import random

import pytest
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.entries.importing import ImportRefused, bring_in, keep_file
from events.entries.models import Entry, ImportFile
from events.log.models import Act
from events.setup.models import Role
from events.sheets.safe import write_xlsx
from players.models import Contact, Person

pytestmark = pytest.mark.django_db

FIRST_ROW = 3  # under a title and the headings
DIVISIONS = ("MPO", "MA1", "MA40", "FA1", "MJ18")
HEADINGS = (
    "Surname", "First name", "Member no.", "Year of birth", "Div.", "Rating", "F/M", "Pro or am", "Valid until",
    "E-mail", "Mobile", "Paid", "Entered at",
)  # fmt: skip
BORN = {
    "MPO": (1975, 2000),
    "MA1": (1975, 2000),
    "MA40": (1960, 1985),
    "FA1": (1975, 2000),
    "MJ18": (2009, 2014),
}

# index of the entrant → column, what stands there, and the words that name the fault
FAULTS: dict[int, tuple[str, object, str]] = {
    7: ("Year of birth", "19x4", "'19x4' is not a year"),
    55: ("Year of birth", 84, "'84' is not a year"),
    103: ("Year of birth", 1812, "'1812' is not a year between 1900 and 2026"),
    151: ("Year of birth", 2031, "'2031' is not a year between 1900 and 2026"),
    199: ("Div.", "MA9", "'MA9' is not a division of this event"),
    247: ("Div.", "advanced", "'advanced' is not a division of this event"),
    295: ("Div.", None, "the division is missing"),
    343: ("Member no.", "7o012", "'7o012' is not a member number"),
    391: ("Member no.", 50_002, "the same member number as in row 5"),
    439: ("Member no.", "7.0E+4", "'7.0E+4' is a number that the spreadsheet shortened to a power of ten"),
    487: ("Rating", "9O5", "'9O5' is not a rating"),
    535: ("Rating", 9050, "'9050' is not a rating from 1 to 1200"),
    583: ("Rating", "#REF!", "'#REF!' is an error: the formula points to a cell that was deleted"),
    631: ("Valid until", "31.2.2026", "'31.2.2026' is no day of the calendar"),
    679: ("Valid until", "31.12.26", "'31.12.26' has a year of two digits"),
    727: ("Paid", "cash", "'cash' is not an amount of money"),
    775: ("Paid", -45, "'-45' is less than nothing"),
    823: ("Surname", 1234, "'1234' is not a name"),
    871: ("Surname", "H" * 61, "is longer than 60 letters"),
    919: ("Entered at", "yesterday", "'yesterday' is not a date"),
}


def cells_of(index: int) -> dict[str, object]:
    """One sound row, the same for the same index."""
    chance = random.Random(index)
    code = DIVISIONS[index % len(DIVISIONS)]
    return {
        "Surname": f"Rask{chance.choice('abcdefgh')} Ør{index}",
        "First name": chance.choice(("Ines", "Łu", "Дмитро", "さくら", "Odd")),
        "Member no.": chance.choice((50_000 + index, str(50_000 + index), f"#{50_000 + index}")),
        "Year of birth": chance.randint(*BORN[code]),
        "Div.": chance.choice((code, code.lower(), f" {code} ")),
        "Rating": chance.choice((None, chance.randint(700, 1000))),
        "F/M": "F" if code == "FA1" else "M",
        "Pro or am": "pro" if code == "MPO" else "am",
        "Valid until": "31.12.2026",
        "E-mail": f"p{index}@mail.example",
        "Mobile": f"555 {index:04d}",
        "Paid": chance.choice((45, "45.00", "$45", 0)),
        "Entered at": f"2026-03-{1 + index % 28:02d} 10:00",
    }


def workbook(count: int, *, faults: bool) -> bytes:
    rows: list[list[object]] = [["Invented Open"], list(HEADINGS)]
    for index in range(count):
        cells = cells_of(index)
        if faults and index in FAULTS:
            column, cell, _ = FAULTS[index]
            cells[column] = cell
        rows.append([cells[heading] for heading in HEADINGS])
    return write_xlsx({"Entries": rows})


@pytest.fixture
def event(db):
    return build.make_event(divisions=DIVISIONS)


def test_the_twenty_faults_are_all_named_and_nothing_else(event):
    with pytest.raises(ImportRefused) as caught:
        bring_in(event=event, name="list.xlsx", data=workbook(1000, faults=True), actor=ACTOR, now=NOW)
    named = [(p.row, p.column, p.problem) for p in caught.value.problems]
    assert named == [(FIRST_ROW + index, column, words) for index, (column, _, words) in FAULTS.items()]
    assert len(named) == 20
    assert all(problem.mend for problem in caught.value.problems)
    assert (Entry.objects.count(), Person.objects.count(), ImportFile.objects.count()) == (0, 0, 0)


def test_without_the_twenty_rows_the_rest_is_saved_and_comes_again_unchanged(event):
    data = workbook(1000, faults=True)
    bad = [FIRST_ROW + index for index in FAULTS]
    outcome = bring_in(event=event, name="list.xlsx", data=data, actor=ACTOR, now=NOW, leave_out=bad)
    assert (outcome.new, outcome.left_out, outcome.problems) == (980, tuple(bad), ())
    assert (Entry.objects.count(), Person.objects.count(), Contact.objects.count()) == (980, 980, 980)
    assert Act.objects.filter(action="entries.imported").count() == 1
    again = bring_in(event=event, name="list.xlsx", data=data, actor=ACTOR, now=NOW, leave_out=bad)
    assert (again.new, again.updated, again.unchanged) == (0, 0, 980)
    mended = bring_in(event=event, name="list.xlsx", data=workbook(1000, faults=False), actor=ACTOR, now=NOW)
    assert (mended.new, mended.updated, mended.unchanged) == (20, 0, 980)


def test_what_is_saved_is_what_the_workbook_says(event):
    data = workbook(1000, faults=False)
    bring_in(event=event, name="list.xlsx", data=data, actor=ACTOR, now=NOW)
    found = Entry.objects.select_related("person__contact", "division").order_by("person__member_number")
    saved = [
        (
            entry.person.family_name, entry.person.given_name, entry.person.member_number,
            entry.person.birth_year, entry.division.code, entry.rating, entry.paid_elsewhere_cents,
            entry.status, f"{entry.received_at:%Y-%m-%d %H:%M}", entry.person.contact.phone,
        )
        for entry in found
    ]  # fmt: skip
    meant = []
    for index in range(1000):
        cells = cells_of(index)
        cents = 0 if cells["Paid"] == 0 else 4500
        meant.append((
            cells["Surname"], cells["First name"], 50_000 + index, cells["Year of birth"],
            str(cells["Div."]).strip().upper(), cells["Rating"], cents, "confirmed" if cents else "applied",
            cells["Entered at"], cells["Mobile"],
        ))  # fmt: skip
    assert saved == meant


def test_the_page_shows_every_fault_of_a_thousand_rows(event, client):
    client.force_login(build.make_user(event, Role.DIRECTOR))
    file = keep_file(event=event, name="list.xlsx", data=workbook(1000, faults=True), actor=ACTOR, now=NOW)
    page = client.get(reverse("entries:import", args=[event.slug, file.pk]))
    assert [p.row for p in page.context["errors"]] == [FIRST_ROW + index for index in FAULTS]
    assert (page.context["plan"].new, page.context["coming"]) == (980, 980)
