"""Exports that no spreadsheet program mistakes for formulas."""

import io
from datetime import UTC, date, datetime
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.sheets.cells import Uncomputed, clean
from events.sheets.reading import read_table
from events.sheets.safe import neutral, write_csv, write_xlsx

HARMFUL = [
    "=1+1", "+1", "-1", "@SUM(A1)", " =1", "\u00a0=1", "\u200b=1", "＝1", "－1", "=", "-",
]  # fmt: skip


@pytest.mark.parametrize("text", HARMFUL)
def test_text_that_could_start_a_formula_is_led_by_an_apostrophe(text: str) -> None:
    assert neutral(text) == f"'{text}"


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("\t=1", "'=1"),
        ("\r\n@x", "'@x"),
        ("\tTamsel", "Tamsel"),
        ("\n", ""),
        ("\x00=1", "'=1"),
        ("\ud800=", "'="),
    ],
)
def test_leading_tabs_and_line_ends_are_taken_off(text: str, written: str) -> None:
    assert neutral(text) == written


@pytest.mark.parametrize(
    "value", [-2, 0, Decimal("-2.5"), True, None, date(2025, 3, 14), "Tamsel", "", "a=b", "−2", "E"]
)
def test_everything_else_stays(value: object) -> None:
    assert neutral(value) is value


def test_a_formula_that_was_read_is_written_as_text() -> None:
    assert neutral(Uncomputed("A1")) == "'=A1"


@given(st.text(max_size=20))
def test_what_is_neutralised_reads_as_before(text: str) -> None:
    assert clean(neutral(text)) == clean(text)


def test_separated_text() -> None:
    rows = [
        ["Name", "Number", "Paid"],
        ["=cmd|' /C calc'!A0", -2, Decimal("-4.50")],
        ['say "x", y', None, True],
    ]
    assert write_csv(rows) == (
        '\ufeffName,Number,Paid\r\n\'=cmd|\' /C calc\'!A0,-2,-4.50\r\n"say ""x"", y",,yes\r\n'.encode()
    )


def test_days_and_moments_in_separated_text() -> None:
    at = datetime(2025, 3, 14, 9, 30, tzinfo=UTC)
    assert write_csv([[date(2025, 3, 14), at]]) == "\ufeff2025-03-14,2025-03-14 09:30+00:00\r\n".encode()


def test_workbook_cells() -> None:
    at = datetime(2025, 3, 14, 9, 30, tzinfo=UTC)
    data = write_xlsx(
        {"List": [["Name", "Value"], ["=1+1", -2], ["bell\x07", Decimal("4.5")], ["x", at], ["y", None]]}
    )
    sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
    assert [[cell.value for cell in row] for row in sheet.iter_rows()] == [
        ["Name", "Value"], ["'=1+1", -2], ["bell", 4.5], ["x", "2025-03-14 09:30:00+00:00"], ["y", None],
    ]  # fmt: skip
    assert [cell.data_type for cell in sheet["A"]] == ["s"] * 5
    assert sheet.freeze_panes == "A2"


def test_sheet_titles_are_made_lawful_and_different() -> None:
    data = write_xlsx({"A/B: [1]?": [], "a b   1": [], "'x'": [], "": [], "n" * 40: [], "n" * 35: []})
    names = openpyxl.load_workbook(io.BytesIO(data)).sheetnames
    assert names == ["A B   1", "a b   1 (2)", "x", "Sheet", "n" * 31, "n" * 27 + " (2)"]


def test_a_workbook_without_sheets_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="at least one sheet"):
        write_xlsx({})


def test_what_we_write_we_read() -> None:
    rows = [["Name", "Number"], ["Tamsel Ø", 70012], ["'s-Dorp", -2], ["+49 30", None]]
    for data in (write_xlsx({"List": rows}), write_csv(rows)):
        table = read_table("x", data)
        assert table.headings == ("Name", "Number")
        assert [clean(row.cells[0]) for row in table.rows] == ["Tamsel Ø", "'s-Dorp", "+49 30"]
