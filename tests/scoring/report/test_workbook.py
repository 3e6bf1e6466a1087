"""The results workbook: read by openpyxl as written, and recalculated by LibreOffice as a reader would."""

import shutil
import subprocess
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

import build
import build_cards
from desk.boot import browser as installed
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event
from players.models import Contact
from scoring.report.services import make_workbook

# Holes of each player and round; None: not thrown. Totals are recounted from here, not from the database.
SCORES: dict[str, list[list[int | None]]] = {
    "Ludvik Moravec": [[3] * 18, [4] * 18],
    "Hale Oyelaran": [[2] * 9 + [5] * 9, [3] * 18],
    "Dov Pennock": [[4] * 18, [3] * 17 + [None]],
    "Niko Eskola": [[3] * 17 + [6], [3] * 17 + [5]],
}
EXTRA = {"Niko Eskola": 2}  # additional penalties in round 1


@pytest.fixture
def field(event: Event) -> list[Entry]:
    entries = build_cards.make_field(event, 4)
    other = build.make_entry(event, "FA1", person=build.make_person("Fenwick", "=Oda", town="+Tarn"))
    for index, number in enumerate((1, 2)):
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
        build_cards.save(round_, 1, [*lines, build_cards.line(other, 3)])
    return [*entries, other]


def made(event: Event) -> bytes:
    return make_workbook(event=event, actor=build.ACTOR, now=build.NOW)


def recount(name: str) -> tuple[list[int | None], int | None]:
    """Rounds and total as somebody adds them up by hand; None where a hole is missing."""
    rounds: list[int | None] = []
    for at, holes in enumerate(SCORES[name]):
        known = [figure for figure in holes if figure is not None]
        extra = EXTRA.get(name, 0) if at == 0 else 0
        rounds.append(sum(known) + extra if len(known) == 18 else None)
    whole = [figure for figure in rounds if figure is not None]
    return rounds, sum(whole) if len(whole) == 2 else None


def rows_of(book: Workbook, sheet: str) -> dict[str, list[Any]]:
    """Row by the player's name, from the first row of players on."""
    return {
        str(row[1]): list(row)
        for row in book[sheet].iter_rows(min_row=5, values_only=True)
        if row[1] is not None
    }


@pytest.mark.usefixtures("field")
def test_it_has_a_sheet_for_each_division_the_draw_and_the_log(event: Event) -> None:
    book = load_workbook(BytesIO(made(event)))
    assert book.sheetnames == ["MA1", "FA1", "Draw", "Log, for the desk"]
    head = [cell.value for cell in book["MA1"][3]][:12]
    assert head == [
        "place",
        "player",
        "member",
        "town",
        "state",
        "R1",
        "R2",
        "total",
        "to par",
        "R1 1",
        "R1 2",
        "R1 3",
    ]


@pytest.mark.usefixtures("field")
def test_sums_are_formulas_over_the_holes(event: Event) -> None:
    book = load_workbook(BytesIO(made(event)))
    row = rows_of(book, "MA1")["Hale Oyelaran"]
    assert row[:9] == [
        2,
        "Hale Oyelaran",
        row[2],
        None,
        None,
        '=IF(COUNT(J6:AA6)=18,SUM(J6:AB6),"")',
        '=IF(COUNT(AC6:AT6)=18,SUM(AC6:AU6),"")',
        '=IF(COUNT(F6:G6)=2,SUM(F6:G6),"")',
        '=IF(H6="","",H6-H$4)',
    ]
    assert row[9:28] == [*[2] * 9, *[5] * 9, None]


@pytest.mark.usefixtures("field")
def test_libreoffice_opens_and_recalculates_it(event: Event, tmp_path: Path) -> None:
    """Every sum equals the recount from the scores, and what is missing stays empty."""
    book = recalculated(made(event), tmp_path)
    rows = rows_of(book, "MA1")
    par = sum(build.PARS)
    for name in SCORES:
        rounds, total = recount(name)
        to_par = None if total is None else total - 2 * par
        assert [blank(cell) for cell in rows[name][5:9]] == [*rounds, total, to_par]
    assert {name: row[0] for name, row in rows.items()} == {
        "Niko Eskola": 1,
        "Hale Oyelaran": 2,
        "Ludvik Moravec": 3,
        "Dov Pennock": 4,
    }
    assert [cell.value for cell in book["MA1"][4]][5:8] == [par, par, 2 * par]


def blank(cell: Any) -> Any:
    """LibreOffice keeps an empty text where a formula gives one."""
    return None if cell == "" else cell


def recalculated(content: bytes, folder: Path) -> Workbook:
    office = shutil.which("soffice")
    if office is None:
        if installed.is_required():
            pytest.fail("soffice is not installed, and this run requires it")
        pytest.skip("soffice is not installed")
    source, target = folder / "results.xlsx", folder / "out"
    source.write_bytes(content)
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    words = [office, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(target), str(source)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return load_workbook(target / "results.xlsx", data_only=True)


def test_text_that_looks_like_a_formula_is_text(event: Event, field: list[Entry]) -> None:
    person = field[0].person
    person.family_name, person.given_name = 'HYPERLINK("http://leak.example")', "=1+"
    person.save()
    book = load_workbook(BytesIO(made(event)))
    formulas = {
        cell.value for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"
    }
    assert {formula.split("(")[0] for formula in formulas} == {"=SUM", "=IF"}
    assert rows_of(book, "FA1")["'=Oda Fenwick"][3] == "'+Tarn"


@pytest.mark.usefixtures("field")
def test_the_draw_has_every_seat_in_card_order(event: Event) -> None:
    rows = list(load_workbook(BytesIO(made(event)))["Draw"].iter_rows(min_row=2, values_only=True))
    assert len(rows) == 10
    assert rows[0][:6] + rows[0][7:] == (
        1, 1, "random within the division", "1", "A", 1, "1", "Upper", 1, "Ludvik Moravec", "MA1",
    )  # fmt: skip
    assert str(rows[0][6]) == "2026-06-12 09:00:00"


@pytest.mark.usefixtures("field")
def test_the_log_is_there_with_its_hashes_and_without_old_and_new(event: Event) -> None:
    rows = list(
        load_workbook(BytesIO(made(event)))["Log, for the desk"].iter_rows(min_row=2, values_only=True)
    )
    acts = list(Act.objects.order_by("number"))
    assert [(row[0], row[6]) for row in rows] == [(act.number, act.hash) for act in acts[:-1]]
    assert acts[-1].action == "report.made"
    assert acts[-1].detail == {"acts_in_it": len(rows)}


def test_nothing_that_only_the_desk_may_know_is_in_it(event: Event, field: list[Entry]) -> None:
    person = field[0].person
    Contact.objects.create(
        person=person, email="leak@mail.example", phone="555-0471", emergency_name="Leakname"
    )
    Entry.objects.filter(pk=field[0].pk).update(guardian="Leakguardian", note="leak note", code="LEAKCODE")
    text = " ".join(
        str(cell)
        for sheet in load_workbook(BytesIO(made(event)))
        for row in sheet.iter_rows(values_only=True)
        for cell in row
        if cell is not None
    )
    assert "Ludvik Moravec" in text
    secrets = ["leak@mail.example", "555-0471", "Leakname", "Leakguardian", "leak note", "LEAKCODE"]
    assert [secret for secret in secrets if secret in text] == []


def test_the_disqualified_are_left_out_and_counted(event: Event, field: list[Entry]) -> None:
    """Competition Manual 2025, 5.06.D; who did not finish keeps the code of the report, 5.06.B."""
    for entry, status in ((field[0], "disqualified"), (field[1], "did_not_finish")):
        entry.status, entry.left_reason = status, "a reason"
        entry.save()
    book = load_workbook(BytesIO(made(event)))
    rows = rows_of(book, "MA1")
    assert "Ludvik Moravec" not in rows
    assert rows["Hale Oyelaran"][:5][4] == "did not finish (999)"
    assert "1 disqualified player is left out (Competition Manual 2025, 5.06.D)" in book["MA1"]["A2"].value


def test_before_anything_is_played_it_opens_too(event: Event) -> None:
    build.make_entry(event)
    book = load_workbook(BytesIO(made(event)))
    assert book.sheetnames == ["MA1", "Draw", "Log, for the desk"]
    assert [cell.value for cell in book["MA1"][3]] == [
        "place",
        "player",
        "member",
        "town",
        "state",
        "total",
        "to par",
    ]


@pytest.mark.parametrize("players", [1, 3])
def test_it_takes_the_same_queries_for_any_field(
    event: Event, django_assert_num_queries: Any, players: int
) -> None:
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[entry] for entry in build_cards.make_field(event, players)])
    for number in range(1, players + 1):
        entry = Entry.objects.get(seats__group__number=number)
        build_cards.save(
            round_, number, [build_cards.line(entry, 3)], now=build.NOW + timedelta(minutes=number)
        )
    # savepoints 2; length of the log; 10 of the closing; seats; acts; the act of making it: 5
    with django_assert_num_queries(22):
        made(event)
