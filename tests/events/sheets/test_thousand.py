"""A list of 1,000 entrants with twenty planted faults: all named, and nothing else refused."""

import random
from collections.abc import Callable
from datetime import date, timedelta

import openpyxl

from events.sheets.entrants import EXPECTED, EntrantRow, guess_mapping, read_entrants
from events.sheets.reading import Table, read_table

FIRST_ROW = 6
OFFERED = ("MPO", "FPO", "MP40", "MA1", "MA2", "MA3", "MA40", "FA1", "MJ18")
HEADINGS = (
    "#", "Surname", "First name", None, "Member no.", "Year of birth", "Div.", "Rating", "F/M", "Valid until",
    "E-mail address", "Mobile", "City", "Entry fee (EUR)", "Paid by", "Comments",
)  # fmt: skip
GIVEN = ("Tam", "Or", "Vel", "Bri", "Quo", "Ås", "Łu", "Zo", "Фе", "Nim")
ENDS = ("sel", "ri", "mar", "nna", "len", "a", "kas", "ë", "дор", "ue")
ROOTS = ("Quil", "Vant", "Ør", "Strom", "Kel", "Ñu", "Hart", "Pel", "Dun", "Mors")
TAILS = ("lon", "age", "sted", "vik", "borne", "ñez", "well", "grove", "mere", "by")

# (index of the entrant, heading, cell) -> the column, problem and mend that must be named; severity.
FAULTS: list[tuple[int, str, object, tuple[str, str, str, str]]] = [
    (3, "Year of birth", "19x4", ("Year of birth", "'19x4' is not a year", "write four digits, as 1984", "error")),
    (40, "Year of birth", "84", ("Year of birth", "'84' is not a year", "write four digits, as 1984", "error")),
    (77, "Year of birth", 1812, (
        "Year of birth", "'1812' is not a year between 1900 and 2100", "write four digits, as 1984", "error")),
    (101, "Div.", "MA41", (
        "Div.", "'MA41' is not a division of this event",
        f"write one of {', '.join(sorted(OFFERED))}; the nearest is MA40",
        "error")),
    (150, "Div.", None, ("Div.", "the division is missing", f"write one of {', '.join(sorted(OFFERED))}", "error")),
    (199, "Member no.", "7o012", (
        "Member no.", "'7o012' is not a member number", "write digits only; clear the cell if there is none", "error")),
    (230, "Member no.", 50005, (
        "Member no.", f"the same member number as in row {FIRST_ROW + 5}",
        "delete one of the two rows or correct the number", "error")),
    (260, "Member no.", "7.0E+4", (
        "Member no.", "'7.0E+4' is a number that the spreadsheet shortened to a power of ten",
        "format the column as text and write all digits", "error")),
    (301, "Rating", "9O5", (
        "Rating", "'9O5' is not a rating", "write a whole number, as 925, or clear the cell", "error")),
    (340, "Rating", 9050, (
        "Rating", "'9050' is not a rating from 1 to 1200", "correct it or clear the cell", "error")),
    (377, "Rating", "#REF!", (
        "Rating", "'#REF!' is an error: the formula points to a cell that was deleted", "mend the formula", "error")),
    (420, "Valid until", "31.2.2026", (
        "Valid until", "'31.2.2026' is no day of the calendar", "write it as 2025-03-14", "error")),
    (450, "Valid until", "31.12.26", (
        "Valid until", "'31.12.26' has a year of two digits", "write the year with four digits, as 2025-03-14",
        "error")),
    (500, "Entry fee (EUR)", "cash", (
        "Entry fee (EUR)", "'cash' is not an amount of money", "write the amount in figures, as 45.00", "error")),
    (555, "Entry fee (EUR)", "=N99+5", (
        "Entry fee (EUR)", "'=N99+5' is a formula whose result the file does not hold",
        "open the file in a spreadsheet program, save it there, or paste the values", "error")),
    (600, "E-mail address", "tamsel.example.org", (
        "E-mail address", "'tamsel.example.org' is not an e-mail address and is left out",
        "write it as name@example.org", "warning")),
    (640, "Mobile", "will call", (
        "Mobile", "'will call' is not a phone number and is left out", "write 5 to 15 digits, as +49 30 123456",
        "warning")),
    (700, "Surname", 1234, ("Surname", "'1234' is not a name", "write the name, or clear the cell", "error")),
    (888, "F/M", "perhaps", (
        "F/M", "'perhaps' is not a gender eligibility and is left out", "write F or M", "warning")),
    (999, "Surname", None, (
        "First name / Surname", "the name is missing", "write the name or delete the row", "error")),
]  # fmt: skip


def _entrant(index: int, chance: random.Random) -> tuple[dict[str, object], EntrantRow]:
    """One row as a director may have typed it, and what it means."""
    given = GIVEN[index % 10] + ENDS[index // 10 % 10]
    family = ROOTS[index // 100] + TAILS[chance.randrange(10)] + " " + ROOTS[index % 10]
    number, born, rating = 50_000 + index, chance.randint(1940, 2014), chance.randint(600, 1050)
    code, female = chance.choice(OFFERED), chance.random() < 0.3
    until = date(2025, 12, 31) + timedelta(days=chance.randrange(400))
    cents = chance.choice((4500, 4550, 120000))
    has_number, has_rating = chance.random() < 0.8 or index in (5, 230), chance.random() < 0.7
    cells: dict[str, object] = {
        "#": index + 1,
        "Surname": chance.choice((family, family.upper(), f" {family}\u00a0")),
        "First name": given,
        "Member no.": chance.choice((number, str(number), f"#{number}"))
        if has_number
        else chance.choice((None, 0)),
        "Year of birth": chance.choice((born, str(born), date(born, 7, 1))),
        "Div.": chance.choice((code, code.lower(), f"{code[:2]} {code[2:]}")),
        "Rating": chance.choice((rating, str(rating))) if has_rating else "-",
        "F/M": chance.choice(("F", "female", "Frau")) if female else chance.choice(("M", "male")),
        "Valid until": chance.choice((until, until.isoformat(), until.strftime("%d.%m.%Y"))),
        "E-mail address": f"p{index}@Example.org",
        "Mobile": chance.choice((f"+49 30 {100000 + index}", 5_550_100_000 + index)),
        "City": chance.choice(("Velmar", "Ölbruck", "Ås")),
        "Entry fee (EUR)": chance.choice((cents / 100, f"€ {cents / 100:,.2f}")),
        "Paid by": chance.choice(("cash", "card", None)),
        "Comments": chance.choice((None, "left handed", "needs\na ride")),
    }
    meant = EntrantRow(
        row=FIRST_ROW + index, given=given, family=str(cells["Surname"]).strip(),
        member_number=number if has_number else None, birth_year=born, division=code,
        rating=rating if has_rating else None, gender="F" if female else "M", membership_expires=until,
        town=str(cells["City"]), email=f"p{index}@example.org", phone=str(cells["Mobile"]), paid=cents,
        payment_method=cells["Paid by"],
        notes=str(cells["Comments"]).replace("\n", " ") if cells["Comments"] else None,
    )  # fmt: skip
    return cells, meant


def _planted(
    save: Callable[[openpyxl.Workbook], bytes], *, faults: bool
) -> tuple[Table, dict[int, EntrantRow]]:
    """The table read from the file, and what each row means by row number."""
    chance = random.Random(20250314)
    made = openpyxl.Workbook()
    made.worksheets[0].append(["Fees", "see the other sheet"])
    sheet = made.create_sheet("Entries 2025")
    for above in ([None, "Invented Open 2025"], [], [None, "as of", date(2025, 3, 1)], [], HEADINGS):
        sheet.append(above)
    sheet.merge_cells("B1:F1")
    meant: dict[int, EntrantRow] = {}
    planted = {(index, heading): cell for index, heading, cell, _ in FAULTS} if faults else {}
    for index in range(1000):
        cells, meant[FIRST_ROW + index] = _entrant(index, chance)
        if faults and index == 999:
            cells["First name"] = None
        sheet.append([planted.get((index, head), cells.get(head)) if head else None for head in HEADINGS])
    return read_table("entries.xlsx", save(made), expected=EXPECTED), meant


def test_a_thousand_sound_rows_are_all_taken(save: Callable[[openpyxl.Workbook], bytes]) -> None:
    table, meant = _planted(save, faults=False)
    assert (table.sheet, table.header_row) == ("Entries 2025", 5)
    entrants, problems = read_entrants(table, guess_mapping(table), divisions=OFFERED, date_order=None)
    assert problems == []
    assert entrants == list(meant.values())


def test_twenty_planted_faults_are_all_named_and_nothing_else(
    save: Callable[[openpyxl.Workbook], bytes],
) -> None:
    table, meant = _planted(save, faults=True)
    entrants, problems = read_entrants(table, guess_mapping(table), divisions=OFFERED, date_order=None)
    named = [
        (problem.row, problem.column, problem.problem, problem.mend, problem.severity) for problem in problems
    ]
    assert named == [(FIRST_ROW + index, *said) for index, _, _, said in FAULTS]
    assert len(named) == 20
    refused = {FIRST_ROW + index for index, _, _, said in FAULTS if said[3] == "error"}
    assert [entrant.row for entrant in entrants] == [row for row in meant if row not in refused]
    touched = {FIRST_ROW + index for index, *_ in FAULTS}
    assert [e for e in entrants if e.row not in touched] == [e for r, e in meant.items() if r not in touched]
