"""Separated text as directors have it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.sheets.reading import Limits, Refused, Row, read_table
from events.sheets.safe import write_csv

EXPECTED = frozenset({"name", "division", "paid", "town"})
LINES = ["Name{0}Division{0}Town", "Zoë Brünér{0}MA1{0}Ås", "Łukasz Ørn{0}FPO{0}Ñu"]
ROWS = (Row(2, ("Zoë Brünér", "MA1", "Ås")), Row(3, ("Łukasz Ørn", "FPO", "Ñu")))


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r", "\r\r\n"])
@pytest.mark.parametrize("expected", [EXPECTED, frozenset()])
def test_every_separator_and_line_end(separator: str, ends: str, expected: frozenset[str]) -> None:
    data = ends.join(LINES).format(separator).encode()
    table = read_table("list.csv", data, expected=expected)
    assert table.sheet == ""
    assert table.headings == ("Name", "Division", "Town")
    assert table.rows == ROWS


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_every_alphabet_that_says_what_it_is(encoding: str) -> None:
    table = read_table("list.csv", "\n".join(LINES).format(";").encode(encoding))
    assert table.rows == ROWS
    assert table.notes == ()


def test_the_old_western_alphabet_is_a_guess_and_says_so() -> None:
    table = read_table("list.csv", "Name;Town\nZoë Brünér;Ås – x".encode("cp1252"))
    assert table.rows == (Row(2, ("Zoë Brünér", "Ås – x")),)
    assert table.notes == (
        "The file does not say which alphabet it is written in; it was read as Western European."
        " Check names with accents; if they are wrong, save the file as CSV UTF-8.",
    )


def test_mixed_line_ends_and_blank_lines_keep_the_row_numbers() -> None:
    table = read_table("list.csv", b"Name,Division\r\nTamsel,MA1\n\r\n,,\nOrri,FPO\rVelm,MA2")
    assert table.rows == (Row(2, ("Tamsel", "MA1")), Row(5, ("Orri", "FPO")), Row(6, ("Velm", "MA2")))


def test_quoted_line_breaks_separators_and_quotation_marks() -> None:
    data = b'Name,Town\n"Quillon, Tamsel","two\nlines ""here"""\nOrri,x'
    table = read_table("list.csv", data)
    assert table.rows == (Row(2, ("Quillon, Tamsel", 'two\nlines "here"')), Row(3, ("Orri", "x")))


def test_commas_inside_do_not_make_a_comma_file() -> None:
    data = b"Name;Division;Paid\nQuillon, Tamsel;MA1;45,00\nVantage, Orri;FPO;45,00\n"
    for expected in (EXPECTED, frozenset()):
        assert read_table("list.csv", data, expected=expected).headings == ("Name", "Division", "Paid")


def test_the_separator_line_is_obeyed_and_not_counted() -> None:
    table = read_table("list.csv", b"sep=|\r\nName|Town\r\nTamsel;x|y")
    assert (table.header_row, table.rows) == (1, (Row(2, ("Tamsel;x", "y")),))


def test_numbers_kept_as_text_by_a_formula() -> None:
    assert read_table("list.csv", b'Name,Number\nTamsel,"=""00412"""').rows == (Row(2, ("Tamsel", "00412")),)


def test_a_title_line_and_one_column() -> None:
    table = read_table("list.csv", b"Invented Open 2025\n\nName,Division\nTamsel,MA1\n", expected=EXPECTED)
    assert (table.header_row, table.headings) == (3, ("Name", "Division"))
    assert read_table("list.csv", b"Name\nTamsel\nOrri").rows == (Row(2, ("Tamsel",)), Row(3, ("Orri",)))


def test_ragged_rows_are_padded() -> None:
    table = read_table("list.csv", b"Name,Division\nTamsel\nOrri,FPO,more,,")
    assert table.headings == ("Name", "Division", "")
    assert table.rows == (Row(2, ("Tamsel", None, None)), Row(3, ("Orri", "FPO", "more")))


@pytest.mark.parametrize("line", [5, 99, 100])
def test_a_quotation_mark_never_closed(line: int) -> None:
    lines = ["Name,Division,Town", *[f"Person {i},MA1,x" for i in range(2, 101)]]
    lines[line - 1] = f'Person {line},MA1,"x'
    data = "\n".join(lines) + "\n"
    with pytest.raises(Refused) as caught:
        read_table("list.csv", data.encode())
    assert str(caught.value).startswith(f"In row {line} a quotation mark is opened and never closed")


def test_two_stray_quotation_marks_do_not_swallow_the_rows_between() -> None:
    lines = ["Name,Division,Town", *[f"Person {i},MA1,x" for i in range(2, 12)]]
    lines[3] = 'Person 4,MA1,"x'
    lines[8] = 'Person 9,MA1,x"'
    with pytest.raises(Refused, match="In row 4 a quotation mark is opened"):
        read_table("list.csv", "\n".join(lines).encode())


def test_too_many_rows_and_columns() -> None:
    small = Limits(rows=3, columns=3)
    assert len(read_table("list.csv", b"a,b,c\n1,2,3\n1,2,3\n,,,,\n", limits=small).rows) == 2
    with pytest.raises(Refused, match="holds more than 3 filled rows"):
        read_table("list.csv", b"a,b,c\n" + b"1,2,3\n" * 3, limits=small)
    with pytest.raises(Refused, match="Row 2 has 4 columns, more than 3"):
        read_table("list.csv", b"a,b,c\n1,2,3,4\n", limits=small)


TEXT = st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=10)


@given(st.lists(st.lists(TEXT, min_size=3, max_size=3), min_size=1, max_size=8))
def test_what_we_write_we_read(rows: list[list[str]]) -> None:
    table = read_table("list.csv", write_csv([["Name", "Division", "Town"], *rows]), expected=EXPECTED)
    shapes = [tuple(cell.removeprefix("'") for cell in row.cells) for row in table.rows]
    assert shapes == [tuple(cell.removeprefix("'") for cell in row) for row in rows]
