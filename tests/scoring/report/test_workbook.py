"""The results workbook: read by openpyxl as written, and recalculated by LibreOffice as a reader would."""

import re
import zipfile
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from openpyxl import Workbook, load_workbook

import build
import build_cards
import office
from build_report import EXTRA, SCORES, recount
from events.entries.models import Entry, RatingSource
from events.log.models import Act
from events.log.services import Actor
from events.safety.models import Completion, Notice, Reading, Suspension
from events.setup.models import Event
from players.models import Contact
from scoring.cards.rulings import make_ruling
from scoring.prizes.models import DivisionPlan, Forfeit
from scoring.ratings.services import leave_out
from scoring.report.services import make_workbook
from scoring.standings.models import Cut
from scoring.standings.queries import standings

SHEETS = [
    "Contents", "MA1", "FA1", "Ratings", "Draw", "Weather", "Stops", "Notices", "Entries, for the desk",
    "Penalties, for the desk", "Warnings, for the desk", "Rating decisions, for the desk", "Prizes, for the desk",
    "Money, for the director", "Log, for the desk",
]  # fmt: skip


@pytest.fixture
def field(event: Event) -> list[Entry]:
    entries = build_cards.make_field(event, 4)
    for at, entry in enumerate(entries):
        entry.rating, entry.rated_rounds, entry.rating_date = 880 + 30 * at, 20, event.starts_on
        entry.save()
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


def made(event: Event, *, with_money: bool = True) -> bytes:
    return make_workbook(event=event, with_money=with_money, actor=build.ACTOR, now=build.NOW)


def rows_of(book: Workbook, sheet: str) -> dict[str, list[Any]]:
    """Row by the player's name, from the first row of players on."""
    return {
        str(row[1]): list(row)
        for row in book[sheet].iter_rows(min_row=5, values_only=True)
        if row[1] is not None
    }


@pytest.mark.usefixtures("field")
def test_it_has_a_sheet_for_everything_and_says_for_whom_each_is(event: Event) -> None:
    book = load_workbook(BytesIO(made(event)))
    assert book.sheetnames == SHEETS
    listed = {row[0]: row[1] for row in book["Contents"].iter_rows(min_row=7, values_only=True)}
    assert list(listed) == SHEETS
    assert {listed[title] for title in SHEETS if title.endswith("desk")} == {"the desk"}
    assert listed["Money, for the director"] == "the director"
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


def test_what_is_for_everybody_names_nobody_of_the_staff_and_no_reason_about_a_player(
    event: Event, field: list[Entry]
) -> None:
    """Whoever takes the sheets for the desk out, as the contents say, publishes none of it."""
    staff: dict[str, Any] = {"by": "Rowan Umpire"}
    lock = {"actor": Actor("Rowan Umpire", None), "now": build.NOW}
    leave_out(round=event.rounds.get(number=1), entry=field[0], reason="bad back, told in private", **lock)
    Reading.objects.create(
        event=event,
        quantity="wind",
        value=4,
        typed="4 m/s",
        source="meter",
        read_at=build.NOW,
        at=build.NOW,
        **staff,
    )
    Suspension.objects.create(event=event, cause="lightning", signalled_at=build.NOW, **staff)
    Notice.objects.create(
        event=event, kind="news", title="Tea", text="At ten", posted_at=build.NOW, posted_by="Rowan Umpire"
    )

    book = load_workbook(BytesIO(made(event)))

    text = {sheet.title: str(list(sheet.iter_rows(values_only=True))) for sheet in book}
    assert "4 m/s" in text["Weather"]
    assert "lightning" in text["Stops"]
    assert "At ten" in text["Notices"]
    assert "Left out of the average: Ludvik Moravec, round 1." in text["Ratings"]
    leaks = ("Umpire", "bad back")
    found = {title for title, words in text.items() if any(leak in words for leak in leaks)}
    assert found == {"Rating decisions, for the desk", "Log, for the desk"}


def test_an_estimate_stands_among_the_entries_as_one(event: Event, field: list[Entry]) -> None:
    field[0].rating_source = RatingSource.ESTIMATED
    field[0].save()

    book = load_workbook(BytesIO(made(event)))

    head, *rows = book["Entries, for the desk"].iter_rows(values_only=True)
    source = {row[1]: row[head.index("rating is")] for row in rows if row[0]}
    assert (source["Ludvik Moravec"], source["Hale Oyelaran"]) == ("estimated", "entered")
    assert "rating estimated here: 880, from a history" in str(
        list(book["Ratings"].iter_rows(values_only=True))
    )


@pytest.mark.usefixtures("field")
def test_money_is_in_it_only_for_who_sees_money(event: Event) -> None:
    book = load_workbook(BytesIO(made(event, with_money=False)))
    assert [title for title in book.sheetnames if title.startswith(("Money", "Prizes"))] == []


@pytest.mark.usefixtures("field")
def test_sums_are_formulas_over_the_holes_with_their_figures(event: Event) -> None:
    content = made(event)
    row = rows_of(load_workbook(BytesIO(content)), "MA1")["Hale Oyelaran"]
    assert row[5:9] == [
        '=IF(COUNT(J6:AA6)=18,SUM(J6:AB6),"")',
        '=IF(COUNT(AC6:AT6)=18,SUM(AC6:AU6),"")',
        '=IF(COUNT(F6:G6)=2,SUM(F6:G6),"")',
        '=IF(H6="","",H6-SUMPRODUCT(ISNUMBER(F6:G6)*F$4:G$4))',
    ]
    assert row[9:28] == [*[2] * 9, *[5] * 9, None]
    printed = rows_of(load_workbook(BytesIO(content), data_only=True), "MA1")
    par = sum(build.PARS)
    for name in SCORES:
        rounds, total = recount(name)
        to_par = None if total is None else total - 2 * par
        assert [cell or None for cell in printed[name][5:9]] == [*rounds, total, to_par]
    assert {name: row[0] for name, row in printed.items()} == {
        "Niko Eskola": 1,
        "Hale Oyelaran": 2,
        "Ludvik Moravec": 3,
        "Dov Pennock": 4,
    }


def test_libreoffice_reckons_every_printed_figure(event: Event, field: list[Entry], tmp_path: Path) -> None:
    """Divisions, ratings, rulings, stops, entries and money; none is empty in this event."""
    make_ruling(
        entry=field[0],
        round=event.rounds.get(number=1),
        hole_label="3",
        throws=1,
        rule="Official Rules 2025, 802.03",
        what="excessive time",
        caller="Hale Oyelaran",
        confirmer="Dov Pennock",
        origin="by hand 1",
        actor=build.ACTOR,
        now=build.NOW,
    )
    Suspension.objects.create(
        event=event,
        cause="lightning",
        signalled_at=build.NOW,
        by="Tester",
        ended="resumed",
        ended_at=build.NOW + timedelta(minutes=42),
        ended_by="Tester",
    )
    DivisionPlan.objects.create(
        division=field[0].division, method="curve", fixed_cents=10_000, places=3, trophies=1
    )
    content = made(event)
    sheets = {sheet for sheet, _ in office.formulas(content)}
    assert sheets == {
        "MA1", "FA1", "Ratings", "Stops", "Entries, for the desk", "Penalties, for the desk", "Prizes, for the desk",
        "Money, for the director",
    }  # fmt: skip
    assert office.differences(content, tmp_path) == []


@pytest.mark.parametrize("unit", [1, 100, 500])
def test_shared_prizes_are_reckoned_from_the_prizes_of_their_places(
    event: Event, tmp_path: Path, unit: int
) -> None:
    """Ties of two and three, paid to the cent, in whole currency and in fives; of one prize 10.00 was not claimed."""
    entries = build_cards.make_field(event, 6)
    for number in (1, 2):
        round_ = event.rounds.get(number=number)
        build_cards.publish(round_, [entries])
        lines = [
            build_cards.line(entry, throws) for entry, throws in zip(entries, (3, 4, 4, 5, 5, 5), strict=True)
        ]
        build_cards.save(round_, 1, lines)
    DivisionPlan.objects.create(
        division=entries[0].division, method="curve", fixed_cents=76_543, places=5, unit_cents=unit
    )
    Forfeit.objects.create(
        entry=entries[5], cents=1_000, asked="by mail", asked_on=event.ends_on, at=build.NOW, by="Tester"
    )

    content = made(event)

    due = [row[2] for row in load_workbook(BytesIO(content), data_only=True)["Prizes, for the desk"].values]
    paid = due[due.index("due") + 1 :][:6]
    rows = load_workbook(BytesIO(content), data_only=True)["Prizes, for the desk"].values
    (lapsed,) = [row for row in rows if "10.00 forfeited: not claimed in time" in str(row[6])]
    assert round(100 * (lapsed[2] - lapsed[5])) == 1_000
    assert paid[1] == paid[2] > paid[3] == paid[4] == paid[5]
    assert sum(round(100 * figure) for figure in paid) == 76_543
    assert office.differences(content, tmp_path) == []


@pytest.mark.usefixtures("field")
def test_a_figure_that_is_wrong_would_be_found(event: Event, tmp_path: Path) -> None:
    """The comparison itself: one printed figure is changed, and LibreOffice does not agree with it."""
    target = BytesIO()
    with zipfile.ZipFile(BytesIO(made(event))) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            part = old.read(name).decode("latin-1")
            if name == "xl/worksheets/sheet2.xml":
                part = re.sub(r'(<c r="F5"[^>]*><f>.*?</f>)<v>.*?</v>', r"\1<v>1</v>", part)
            new.writestr(name, part.encode("latin-1"))
    assert [found[:3] for found in office.differences(target.getvalue(), tmp_path)] == [("MA1", "F5", 1)]


def test_text_that_looks_like_a_formula_is_text(event: Event, field: list[Entry]) -> None:
    person = field[0].person
    person.family_name, person.given_name = 'HYPERLINK("http://leak.example")', "=1+"
    person.save()
    book = load_workbook(BytesIO(made(event)))
    formulas = {
        cell.value for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"
    }
    assert [text for text in formulas if "HYPERLINK" in text or "1+" in text.split("(")[0]] == []
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
    assert acts[-1].detail == {"acts_in_it": len(rows), "money": True}


def test_no_contact_is_in_it(event: Event, field: list[Entry]) -> None:
    person = field[0].person
    person.birth_year = 1931
    person.save()
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
    secrets = ["leak@mail.example", "555-0471", "Leakname", "Leakguardian", "leak note", "LEAKCODE", "1931"]
    assert [secret for secret in secrets if secret in text] == []


@pytest.mark.usefixtures("field")
def test_towns_are_for_everybody_only_where_the_event_shows_them(event: Event) -> None:
    assert rows_of(load_workbook(BytesIO(made(event))), "FA1")["'=Oda Fenwick"][3] == "'+Tarn"
    Event.objects.update(show_town=False)
    event.refresh_from_db()

    book = load_workbook(BytesIO(made(event)))

    assert rows_of(book, "FA1")["'=Oda Fenwick"][3] is None
    for_whom = {row[0]: row[1] for row in book["Contents"].iter_rows(min_row=7, values_only=True)}
    shown = {sheet.title for sheet in book for row in sheet.values for cell in row if "Tarn" in str(cell)}
    assert {for_whom[title] for title in shown} == {"the desk"}


def test_the_disqualified_are_left_out_and_counted(event: Event, field: list[Entry]) -> None:
    """Competition Manual 2025, 5.06.D; who did not finish keeps the code of the report, 5.06.B."""
    for entry, status in ((field[0], "disqualified"), (field[1], "did_not_finish")):
        entry.status, entry.left_reason = status, "a reason"
        entry.save()
    book = load_workbook(BytesIO(made(event)))
    rows = rows_of(book, "MA1")
    assert "Ludvik Moravec" not in rows
    assert rows["Hale Oyelaran"][4] == "did not finish (999)"
    assert "1 disqualified player is left out (Competition Manual 2025, 5.06.D)" in book["MA1"]["A2"].value


def test_before_anything_is_played_it_opens_too(event: Event, tmp_path: Path) -> None:
    build.make_entry(event)
    content = made(event)
    book = load_workbook(BytesIO(content))
    assert [title for title in SHEETS if title not in book.sheetnames] == ["FA1"]
    assert [cell.value for cell in book["MA1"][3]] == [
        "place", "player", "member", "town", "state", "total", "to par",
    ]  # fmt: skip
    assert office.differences(content, tmp_path) == []


def test_it_takes_the_same_queries_for_any_field(event: Event) -> None:
    """Every room reads for itself and counts its own queries in its own tests; here only the field may not matter."""
    counted = []
    for players in (1, 3):
        other = build.make_event(f"field-of-{players}", divisions=("MA1",))
        round_ = other.rounds.get(number=1)
        build_cards.publish(round_, [[entry] for entry in build_cards.make_field(other, players)])
        for number in range(1, players + 1):
            entry = Entry.objects.get(seats__group__sheet__round=round_, seats__group__number=number)
            build_cards.save(round_, number, [build_cards.line(entry, 3)])
        with CaptureQueriesContext(connection) as queries:
            made(other)
        counted.append(len(queries))
    assert counted[0] == counted[1]


def test_holes_that_do_not_count_and_a_cut_are_reckoned_as_they_stand(
    event: Event, field: list[Entry], tmp_path: Path
) -> None:
    """Round 1 was stopped and 16 holes count of it; after it two of four play on (Competition Manual 2025, 1.08.E)."""
    round_ = event.rounds.get(number=1)
    division = field[0].division
    Completion.objects.create(
        event=event,
        round=round_,
        division=division,
        option=Completion.Option.COMMON_HOLES,
        approval="by telephone",
        common=[str(hole) for hole in range(1, 17)],
        at=build.NOW,
        by="Tester",
    )
    through = [field[0], field[1]]
    Cut.objects.create(
        division=division,
        after_round=1,
        players=2,
        set_at=build.NOW,
        posted=[entry.pk for entry in through],
        posted_at=build.NOW,
    )
    content = made(event)
    rows = rows_of(load_workbook(BytesIO(content), data_only=True), "MA1")
    (found,) = [each for each in standings(event) if each.code == "MA1"]
    for row in found.rows:
        printed = rows[row.standing.name]
        assert printed[7] == (row.standing.total if row.standing.complete else ""), row.standing.name
        assert printed[8] == (row.standing.to_par if row.standing.complete else ""), row.standing.name
    assert rows["Ludvik Moravec"][9 + 16 : 9 + 18] == ["(3)", "(3)"]
    assert rows["Ludvik Moravec"][5] == 16 * 3
    assert office.differences(content, tmp_path) == []
