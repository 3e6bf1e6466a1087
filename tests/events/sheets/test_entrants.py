"""Entry lists: rows that can be taken, and every problem with row, column and mend."""

from collections.abc import Callable
from dataclasses import asdict
from datetime import date, datetime
from decimal import Decimal

import pytest

from events.sheets.cells import Uncomputed
from events.sheets.entrants import EXPECTED, MOST_PROBLEMS, EntrantRow, guess_mapping, read_entrants
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table, read_table

OFFERED = ("MPO", "FPO", "MA1", "MA40")
MORE_HEADINGS = ("First name", "Last name", "Member number", "Birth year", "Division")


def table_of(headings: tuple[str, ...], *rows: tuple[object, ...]) -> Table:
    return Table("List", (), 1, headings, tuple(Row(at, row) for at, row in enumerate(rows, start=2)))


def read(
    headings: tuple[str, ...], *rows: tuple[object, ...], order: str | None = None
) -> tuple[list[EntrantRow], list[Problem]]:
    table = table_of(headings, *rows)
    return read_entrants(table, guess_mapping(table), divisions=OFFERED, date_order=order)


def only(problems: list[Problem]) -> tuple[object, ...]:
    """The single problem without its severity-independent row: everything to compare."""
    assert len(problems) == 1
    found = problems[0]
    return found.row, found.column, found.value, found.problem, found.mend, found.severity


EVERYTHING: dict[str, tuple[object, object]] = {
    "Given name": ("Tamsel", "Tamsel"),
    "Family name": ("Quillon", "Quillon"),
    "Member number": ("#70012", 70012),
    "Birth year": ("17.05.1984", 1984),
    "Division": ("ma 40", "MA40"),
    "Rating": ("925", 925),
    "Rating date": ("2025-03-11", date(2025, 3, 11)),
    "Rated rounds": (Decimal("24.0"), 24),
    "Gender eligibility": ("female", "F"),
    "Professional or amateur": ("Am", "am"),
    "Membership status": ("current", True),
    "Membership expires": (date(2025, 12, 31), date(2025, 12, 31)),
    "Town": ("Velmar", "Velmar"),
    "Club": ("Chain Rattlers", "Chain Rattlers"),
    "Country": ("Norland", "Norland"),
    "E-mail": ("t@Example.org", "t@example.org"),
    "Phone": (5550100, "5550100"),
    "Emergency contact": ("Orri Vantage", "Orri Vantage"),
    "Emergency phone": ("+49 30 12345", "+49 30 12345"),
    "Guardian": ("Orri Vantage", "Orri Vantage"),
    "Pack size": ("XL", "XL"),
    "Paid amount": ("45,00 €", 4500),
    "Payment method": ("cash", "cash"),
    "Registered at": ("2025-02-01 08:15", datetime.fromisoformat("2025-02-01T08:15")),
    "Add-ons": ("ace fund", "ace fund"),
    "Waitlist": (3, True),
    "Notes": ("left\nhanded", "left handed"),
}


def test_every_field_arrives_converted() -> None:
    entrants, problems = read(tuple(EVERYTHING), tuple(cell for cell, _ in EVERYTHING.values()))
    assert problems == []
    values = list(asdict(entrants[0]).values())
    assert values == [2, *(value for _, value in EVERYTHING.values()), None]


def test_blank_and_unmapped_are_missing_and_nothing_wrong() -> None:
    entrants, problems = read(("Name", "Rating", "Phone", "Shoe"), ("Tamsel Quillon", None, "  ", 44))
    assert problems == []
    assert entrants == [EntrantRow(2, "Tamsel", "Quillon")]


def test_a_column_named_name_beside_a_given_name_is_the_family_name() -> None:
    entrants, _ = read(("Name", "Vorname"), ("Quillon", "Tamsel"))
    assert entrants == [EntrantRow(2, "Tamsel", "Quillon")]


def test_given_and_family_names_win_over_the_full_name() -> None:
    entrants, _ = read(
        ("Player", "First name", "Last name"), ("T. Q.", "Tamsel", "Quillon"), ("Orri V.", None, None)
    )
    assert [(entrant.given, entrant.family) for entrant in entrants] == [
        ("Tamsel", "Quillon"),
        ("Orri", "V."),
    ]


def test_every_problem_of_a_row_is_named_at_once() -> None:
    headings = ("First name", "Last name", "Member number", "Birth year", "Division", "Rating", "Paid")
    entrants, problems = read(headings, (None, None, "x1", "19x4", "MX9", "9S5", -5))
    assert entrants == []
    assert [(p.row, p.column, p.value, p.severity) for p in problems] == [
        (2, "Member number", "x1", "error"),
        (2, "Birth year", "19x4", "error"),
        (2, "Division", "MX9", "error"),
        (2, "Rating", "9S5", "error"),
        (2, "Paid", "-5", "error"),
        (2, "First name / Last name", "", "error"),
    ]


def test_a_missing_name() -> None:
    entrants, problems = read(MORE_HEADINGS, (None, " ", 70012, 1984, "MA1"))
    assert entrants == []
    assert only(problems) == (
        2, "First name / Last name", "", "the name is missing", "write the name or delete the row", "error",
    )  # fmt: skip


def test_a_missing_division() -> None:
    entrants, problems = read(MORE_HEADINGS, ("Tamsel", "Quillon", 70012, 1984, None))
    assert entrants == []
    assert only(problems) == (
        2, "Division", "", "the division is missing", "write one of FPO, MA1, MA40, MPO", "error",
    )  # fmt: skip


def test_an_unknown_division_with_the_nearest_code() -> None:
    _, problems = read(MORE_HEADINGS, ("Tamsel", "Quillon", 70012, 1984, "MA41"))
    assert only(problems) == (
        2, "Division", "MA41", "'MA41' is not a division of this event",
        "write one of FPO, MA1, MA40, MPO; the nearest is MA40", "error",
    )  # fmt: skip


def test_a_number_where_a_name_should_be() -> None:
    entrants, problems = read(MORE_HEADINGS, ("Tamsel", 17, 70012, 1984, "MA1"))
    assert entrants == []
    assert only(problems) == (
        2, "Last name", "17", "'17' is not a name", "write the name, or clear the cell", "error",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("heading", "cell"), [("E-mail", "nope"), ("Phone", "later"), ("Gender", "perhaps"), ("Waitlist", "soon")]
)
def test_what_can_be_left_out_is_left_out_with_a_warning(heading: str, cell: str) -> None:
    entrants, problems = read(("Name", heading), ("Tamsel Quillon", cell))
    assert entrants == [EntrantRow(2, "Tamsel", "Quillon")]
    assert (problems[0].severity, problems[0].value) == ("warning", cell)
    assert problems[0].problem.endswith("and is left out")


def test_the_same_member_number_twice() -> None:
    rows = [("Tamsel", "Quillon", 70012, 1984, "MA1"), ("Orri", "Vantage", "70012", 1990, "FPO")]
    entrants, problems = read(MORE_HEADINGS, *rows)
    assert [entrant.row for entrant in entrants] == [2]
    assert only(problems) == (
        3, "Member number", "70012", "the same member number as in row 2",
        "delete one of the two rows or correct the number", "error",
    )  # fmt: skip


@pytest.mark.parametrize(
    "second",
    [
        ("TAMSEL", "Quillón", None, 1984, "MA1"),
        ("Quillon", "Tamsel", None, 1984, "MA1"),
        ("Tamsel", "Quillon", None, None, "MA1"),
        ("Tamsel", "Quillon", 70099, 1984, "MA1"),
    ],
)
def test_perhaps_the_same_person_is_a_question(second: tuple[object, ...]) -> None:
    entrants, problems = read(MORE_HEADINGS, ("Tamsel", "Quillon", None, 1984, "MA1"), second)
    assert [entrant.row for entrant in entrants] == [2, 3]
    assert only(problems) == (
        3, "First name / Last name", f"{second[0]} {second[1]}", "may be the same person as in row 2",
        "delete one of the two rows, or give both their birth year or number", "question",
    )  # fmt: skip


@pytest.mark.parametrize(
    "second", [("Tamsel", "Quillon", 70099, 1984, "MA1"), ("Tamsel", "Quillon", None, 1990, "MA1")]
)
def test_two_numbers_or_two_birth_years_are_two_persons(second: tuple[object, ...]) -> None:
    entrants, problems = read(MORE_HEADINGS, ("Tamsel", "Quillon", 70012, 1984, "MA1"), second)
    assert len(entrants) == 2
    assert problems == []


@pytest.mark.parametrize(
    "footer",
    [
        ("Total 93", None, None, None, None),
        ("Total", 93, None, None, None),
        (None, None, None, "Sum:", "=93"),
        ("Total players: 93", None, None, None, None),
        ("Page 2", None, None, None, None),
        ("Grand Total", None, Uncomputed("SUM(A1:A9)"), None, None),
        (None, None, "* paid at the desk", None, None),
    ],
)
def test_what_stands_under_a_list_is_skipped_with_a_warning(footer: tuple[object, ...]) -> None:
    entrants, problems = read(MORE_HEADINGS, ("Tamsel", "Quillon", 70012, 1984, "MA1"), footer)
    assert len(entrants) == 1
    assert [(p.row, p.severity) for p in problems] == [(3, "warning")]
    assert problems[0].problem.endswith("and is skipped")


def test_people_whose_names_sound_like_footers_are_people() -> None:
    entrants, problems = read(
        ("Name", "Birth year"), ("Page Turnwell", 1984), ("Total Sumner", 1985), ("Sum Lee", 1)
    )
    assert [entrant.given for entrant in entrants] == ["Page", "Total"]
    assert [p.row for p in problems] == [4]
    entrants, problems = read(MORE_HEADINGS, ("Total", None, 70012, 1984, "MA1"))
    assert (len(entrants), problems) == (1, [])


def test_headings_repeated_on_a_later_page_are_skipped() -> None:
    entrants, problems = read(MORE_HEADINGS, ("Tamsel", "Quillon", 1, 1984, "MA1"), MORE_HEADINGS)
    assert len(entrants) == 1
    assert [(p.row, p.problem, p.severity) for p in problems] == [
        (3, "repeats the headings and is skipped", "warning")
    ]


def test_unclear_dates_are_one_question_for_the_column() -> None:
    headings = ("Name", "Membership expires")
    rows = [("Ana Ro", "03/04/2025"), ("Bo Lin", "13/04/2025"), ("Cy Mar", "05/06/2025")]
    entrants, problems = read(headings, *rows)
    assert [entrant.membership_expires for entrant in entrants] == [None, date(2025, 4, 13), None]
    assert only(problems) == (
        2, "Membership expires", "03/04/2025",
        "'03/04/2025' can be 2025-04-03 or 2025-03-04; so can 1 more in this column",
        "choose the order of day and month for this file", "question",
    )  # fmt: skip
    entrants, problems = read(headings, *rows, order="dmy")
    assert [entrant.membership_expires.month for entrant in entrants] == [4, 4, 6]
    assert problems == []


def test_a_birth_year_after_the_event() -> None:
    table = table_of(("Name", "Birth year"), ("Tamsel Quillon", 2031))
    _, problems = read_entrants(
        table, guess_mapping(table), divisions=OFFERED, date_order=None, latest_birth_year=2025
    )
    assert problems[0].problem == "'2031' is not a year between 1900 and 2025"


def test_a_file_with_a_wrong_column_is_given_up_in_time() -> None:
    rows = [("Tamsel Quillon", f"X{index}") for index in range(MOST_PROBLEMS + 100)]
    entrants, problems = read(("Name", "Division"), *rows)
    assert entrants == []
    assert len(problems) == MOST_PROBLEMS + 1
    assert problems[-1].row == MOST_PROBLEMS + 2
    assert problems[-1].mend == "check which columns were chosen"


def test_one_name_in_every_row_is_no_work_without_end() -> None:
    rows = [("Tamsel Quillon", 50_000 + index) for index in range(3000)]
    entrants, problems = read(("Name", "Member number"), *rows)
    assert (len(entrants), problems) == (3000, [])


def test_duplicate_headings_are_told_apart() -> None:
    table = table_of(("Name", "Name"), ("7", "Tamsel Quillon"))
    mapping = dict.fromkeys(guess_mapping(table)) | {"full_name": 0}
    _, problems = read_entrants(table, mapping, divisions=(), date_order=None)
    assert problems[0].column == "Name (column A)"


def test_a_mapping_of_another_table_is_a_mistake_of_the_caller() -> None:
    table = table_of(("Name",), ("Tamsel Quillon",))
    for mapping in ({"full_name": 1}, {"full_name": -1}, {"shoe": 0}):
        with pytest.raises(ValueError, match="the mapping does not fit this table"):
            read_entrants(table, mapping, divisions=(), date_order=None)


def test_a_list_in_another_language_end_to_end(book: Callable[..., bytes]) -> None:
    rows = [
        ["Anmeldungen"],
        [
            "Nr.",
            "Vorname",
            "Nachname",
            "Jahrgang",
            "Klasse",
            "Geschlecht",
            "Wohnort",
            "Bezahlt",
            "Warteliste",
        ],
        [1, "Jörn", "Öberg", "1984", "MA1", "Mann", "Ölbruck", "1.045,50", "nein"],
        [2, "Åse", "Łodka", "1999", "fpo", "Frau", "Ñuvel", 45, "ja"],
    ]
    table = read_table("liste.xlsx", book(rows), expected=EXPECTED)
    mapping = guess_mapping(table)
    assert mapping["member_number"] is None
    entrants, problems = read_entrants(table, mapping, divisions=OFFERED, date_order=None)
    assert problems == []
    assert [
        (e.given, e.family, e.birth_year, e.division, e.gender, e.paid, e.waitlist) for e in entrants
    ] == [
        ("Jörn", "Öberg", 1984, "MA1", "M", 104550, False),
        ("Åse", "Łodka", 1999, "FPO", "F", 4500, True),
    ]


def test_a_column_of_amounts_that_says_yes_or_no():
    headings = ("Name", "Division", "Paid")
    said = {"Ari": "yes", "Bo": "x", "Cai": "unpaid", "Dot": "45", "Eli": None}
    rows = [(f"{given} Quillon", "MA1", paid) for given, paid in said.items()]
    entrants, problems = read(headings, *rows)
    assert problems == []
    assert [(e.paid, e.paid_in_full) for e in entrants] == [
        (None, True), (None, True), (None, False), (4500, None), (None, None),
    ]  # fmt: skip


def test_a_class_column_beside_the_division_holds_pro_and_am():
    entrants, problems = read(("Name", "Division", "Class"), ("Tamsel Quillon", "MA1", "pro"))
    assert (problems, [e.class_of_play for e in entrants]) == ([], ["pro"])


def test_a_class_column_with_anything_else_is_left_alone():
    entrants, problems = read(("Name", "Division", "Class"), ("Tamsel Quillon", "MA1", "masters"))
    assert (problems, [e.class_of_play for e in entrants]) == ([], [None])
