"""Workbooks as directors have them."""

import io
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import MAC_EPOCH

from events.sheets.cells import Uncomputed
from events.sheets.reading import Limits, Refused, Row, letters, read_table

EXPECTED = frozenset({"firstname", "lastname", "name", "division", "membernumber", "email"})
HEADINGS = ["First name", "Last name", "Division"]
PEOPLE = [["Tamsel", "Quillon", "MA1"], ["Orri", "Vantage", "FPO"]]

Maker = Callable[..., bytes]


def test_a_plain_sheet(book: Maker) -> None:
    table = read_table("list.xlsx", book([HEADINGS, *PEOPLE]))
    assert table.sheet == "Sheet"
    assert table.other_sheets == ()
    assert table.header_row == 1
    assert table.headings == ("First name", "Last name", "Division")
    assert table.rows == (Row(2, ("Tamsel", "Quillon", "MA1")), Row(3, ("Orri", "Vantage", "FPO")))
    assert table.notes == ()


@pytest.mark.parametrize("expected", [EXPECTED, frozenset()])
def test_title_rows_blank_rows_and_blank_columns(book: Maker, expected: frozenset[str]) -> None:
    rows: list[list[object]] = [
        [None, "Invented Open, all entrants"],
        [],
        [None, "as of", date(2025, 3, 1)],
        [],
        [None, "First name", None, "Last name", "Division"],
        [None, "Tamsel", None, "Quillon", "MA1"],
        [],
        [None, "Orri", None, "Vantage", "FPO"],
    ]
    table = read_table("list.xlsx", book(rows), expected=expected)
    assert table.header_row == 5
    assert table.headings == ("", "First name", "", "Last name", "Division")
    assert [row.number for row in table.rows] == [6, 8]
    assert table.rows[1].cells == (None, "Orri", None, "Vantage", "FPO")
    assert table.used == (1, 3, 4)


def test_known_headings_beat_a_fuller_row_of_text(book: Maker) -> None:
    rows = [
        ["Fill in", "all", "columns", "please"],
        ["Name", "Division", "E-mail"],
        ["Tamsel Quillon", "MA1", "x"],
    ]
    assert read_table("list.xlsx", book(rows), expected=EXPECTED).header_row == 2


def test_kinds_of_values(book: Maker, save: Callable[[openpyxl.Workbook], bytes]) -> None:
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    at = datetime.fromisoformat("2025-03-14T09:30:12")
    row = [
        "70012",
        70012,
        45.6,
        True,
        date(2025, 3, 14),
        at,
        time(9, 30),
        timedelta(hours=30),
        "Ægir Þór 名前",
        " ",
    ]
    sheet.append([f"Heading {i}" for i in range(len(row))])
    sheet.append(row)
    assert read_table("list.xlsx", save(made)).rows[0].cells == (
        "70012", 70012, Decimal("45.6"), True, date(2025, 3, 14), at, "09:30", Decimal("1.25"), "Ægir Þór 名前", None,
    )  # fmt: skip


def test_days_counted_from_1904(save: Callable[[openpyxl.Workbook], bytes]) -> None:
    made = openpyxl.Workbook()
    made.epoch = MAC_EPOCH
    made.worksheets[0].append(["Born", "Name"])
    made.worksheets[0].append([date(1984, 5, 17), "Tamsel"])
    assert read_table("list.xlsx", save(made)).rows[0].cells == (date(1984, 5, 17), "Tamsel")


def test_duplicate_and_blank_headings_have_names(book: Maker) -> None:
    table = read_table("list.xlsx", book([["Name", None, "Name", "Div"], ["a", "b", "c", "d"]]))
    assert [table.column_name(index) for index in range(4)] == [
        "Name (column A)", "column B", "Name (column C)", "Div",
    ]  # fmt: skip


@pytest.mark.parametrize(("index", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_letters(index: int, name: str) -> None:
    assert letters(index) == name


def test_formulas_without_a_stored_result_are_marked_and_strings_are_not(book: Maker) -> None:
    table = read_table("list.xlsx", book([["Name", "Both"], ["Tamsel", '=A2&" Q"'], ["Orri", "2"]]))
    assert table.rows[0].cells == ("Tamsel", Uncomputed('A2&" Q"'))
    assert table.rows[1].cells == ("Orri", "2")


def test_formulas_give_their_stored_result(parts: Maker, packed: Maker) -> None:
    data = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>Number</t></is></c>'
        '<c r="B1" t="inlineStr"><is><t>Text</t></is></c></row>'
        '<row r="2"><c r="A2"><f>1+1</f><v>2</v></c><c r="B2" t="str"><f>A1</f><v>seen</v></c></row>'
        '<row r="3"><c r="A3"><f>1/0</f><v></v></c><c r="B3" t="str"><f>""</f><v></v></c></row>'
        '<row r="4"><c r="A4" t="e"><f>1/0</f><v>#DIV/0!</v></c><c r="B4" t="b"><f>TRUE()</f><v>1</v></c></row>'
        '<row r="5"><c r="A5"><f t="shared" si="0"/></c><c r="B5" t="str"><v>kept</v></c></row>'
    )
    rows = read_table("list.xlsx", packed(parts(data))).rows
    assert [row.cells for row in rows] == [
        (2, "seen"), (Uncomputed("1/0"), None), ("#DIV/0!", True), (Uncomputed(""), "kept"),
    ]  # fmt: skip


def test_merged_cells(save: Callable[[openpyxl.Workbook], bytes]) -> None:
    """Value in the first cell only; headings of two rows, completed by merges."""
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    sheet.append(["Invented Open", None, None, None])
    sheet.append(["Division", "Player", None, "E-mail"])
    sheet.append([None, "First name", "Last name", None])
    sheet.append(["MA1", "Tamsel", "Quillon", "t@example.org"])
    sheet.append(["MA1", "Orri", "Vantage", "o@example.org"])
    for merged in ("A1:D1", "A2:A3", "B2:C2", "D2:D3", "A4:A5"):
        sheet.merge_cells(merged)
    table = read_table("list.xlsx", save(made), expected=EXPECTED)
    assert table.header_row == 3
    assert table.headings == ("Division", "First name", "Last name", "E-mail")
    assert [row.cells[0] for row in table.rows] == ["MA1", None]


def test_a_heading_over_two_columns_names_both(save: Callable[[openpyxl.Workbook], bytes]) -> None:
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    sheet.append(["Name", None, "Division"])
    sheet.append(["Tamsel", "Quillon", "MA1"])
    sheet.merge_cells("A1:B1")
    assert read_table("list.xlsx", save(made), expected=EXPECTED).headings == ("Name", "Name", "Division")


def test_the_sheet_that_looks_like_entrants_is_chosen(book: Maker) -> None:
    data = book(Fees=[["What", "Euro"], *[["x", 1]] * 30], Players=[HEADINGS, *PEOPLE], Empty=[])
    table = read_table("list.xlsx", data, expected=EXPECTED)
    assert (table.sheet, table.other_sheets) == ("Players", ("Fees", "Empty"))


def test_a_sheet_can_be_chosen_by_name(book: Maker) -> None:
    data = book(Fees=[["What", "Euro"], ["x", 1]], Players=[HEADINGS, *PEOPLE])
    assert read_table("list.xlsx", data, sheet="Fees", expected=EXPECTED).headings == ("What", "Euro")
    with pytest.raises(Refused) as caught:
        read_table("list.xlsx", data, sheet="Nowhere")
    assert str(caught.value) == "The workbook has no sheet named Nowhere."


def test_hidden_sheets_are_not_chosen_and_hidden_rows_are_mentioned(
    save: Callable[[openpyxl.Workbook], bytes],
) -> None:
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    for row in [["Name", "Division"], ["Tamsel", "MA1"], ["Orri", "FPO"]]:
        sheet.append(row)
    sheet.row_dimensions[3].hidden = True
    old = made.create_sheet("Old")
    for row in [HEADINGS, *PEOPLE]:
        old.append(row)
    old.sheet_state = "hidden"
    table = read_table("list.xlsx", save(made), expected=EXPECTED)
    assert (table.sheet, table.other_sheets) == ("Sheet", ("Old",))
    assert len(table.rows) == 2
    assert table.notes == ("Hidden rows in the sheet were read like all others: 1 (a filter may be on).",)


def test_a_dimension_that_lies_is_not_believed(parts: Maker, packed: Maker) -> None:
    data = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>Name</t></is></c></row>'
        '<row r="2"><c r="A2" t="inlineStr"><is><t>Tamsel</t></is></c></row>'
        '<row r="1048576"><c r="A1048576" s="1"/><c r="XFD1048576" s="1"/></row>'
    )
    for claim in ("A1:XFD1048576", "A1:A1", "nonsense"):
        table = read_table("list.xlsx", packed(parts(data, before=f'<dimension ref="{claim}"/>')))
        assert table.rows == (Row(2, ("Tamsel",)),)


def test_cells_without_references_prefixes_rich_text_and_odd_names(parts: Maker, packed: Maker) -> None:
    made = parts(
        "",
        strings="<si><r><t>Na</t></r><r><t>me</t></r><rPh><t>reading</t></rPh></si><si><t>a_x000D_b_xD83D__xDC4D__xD800_</t></si>",
    )
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    made["xl/worksheets/sheet1.xml"] = (
        f'<x:worksheet xmlns:x="{main}"><x:sheetData>'
        '<x:row><x:c t="s"><x:v>0</x:v></x:c><x:c t="s"><x:v>1</x:v></x:c></x:row>'
        '<x:row><x:c t="d"><x:v>2025-03-14</x:v></x:c><x:c><x:v>1E3</x:v></x:c></x:row>'
        "</x:sheetData></x:worksheet>"
    )
    made["XL/SharedStrings.xml"] = made.pop("xl/sharedStrings.xml")
    table = read_table("list.xlsx", packed(made))
    assert table.headings == ("Name", "a b👍�")
    assert table.rows == (Row(2, (date(2025, 3, 14), 1000)),)


def test_broken_styles_and_validations_do_not_stop_the_values(parts: Maker, packed: Maker) -> None:
    data = '<row r="1"><c r="A1" t="inlineStr"><is><t>Name</t></is></c></row><row r="2"><c r="A2"><v>5</v></c></row>'
    after = '<dataValidations count="x"><dataValidation type="nonsense"/></dataValidations><pageMargins left="wide"/>'
    assert read_table("list.xlsx", packed(parts(data, after=after))).rows == (Row(2, (5,)),)


def test_a_suffix_does_not_decide(book: Maker) -> None:
    for name in ("list.csv", "list.xls", "list", "list.XLSM"):
        assert read_table(name, book([HEADINGS, *PEOPLE])).headings == tuple(HEADINGS)


def test_nothing_in_it(book: Maker) -> None:
    for rows in ([], [[None, "  "]]):
        with pytest.raises(Refused) as caught:
            read_table("list.xlsx", book(rows))
        assert str(caught.value) == "The sheet Sheet holds no filled cell."


def test_headings_alone_are_a_table_without_rows(book: Maker) -> None:
    assert read_table("list.xlsx", book([HEADINGS])).rows == ()


def test_too_many_rows_and_columns(book: Maker) -> None:
    small = Limits(rows=3, columns=3)
    assert len(read_table("list.xlsx", book([HEADINGS, *PEOPLE]), limits=small).rows) == 2
    with pytest.raises(Refused, match="holds more than 3 filled rows"):
        read_table("list.xlsx", book([HEADINGS, *PEOPLE, PEOPLE[0]]), limits=small)
    with pytest.raises(Refused, match="Row 2 is filled beyond 3 columns"):
        read_table("list.xlsx", book([HEADINGS, [1, 2, 3, 4]]), limits=small)


def test_more_cells_than_a_list_can_have(book: Maker) -> None:
    small = Limits(cells=8)
    with pytest.raises(Refused, match="holds more than 8 cells, blank ones counted"):
        read_table("list.xlsx", book([HEADINGS, *PEOPLE]), limits=small)


CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**14), 10**14),
    st.decimals(-(10**6), 10**6, places=2).map(float),
    st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), max_size=12),
    st.dates(date(1901, 1, 1), date(2099, 12, 31)),
)


@given(st.lists(st.lists(CELLS, min_size=1, max_size=6), min_size=1, max_size=8))
def test_the_reader_agrees_with_openpyxl(rows: list[list[object]]) -> None:
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    sheet.append(["H1", "H2", "H3", "H4", "H5", "H6"])
    for row in rows:
        sheet.append([None if isinstance(cell, str) and cell.startswith("=") else cell for cell in row])
    target = io.BytesIO()
    made.save(target)
    seen = {row.number: row.cells for row in read_table("list.xlsx", target.getvalue()).rows}
    reference = openpyxl.load_workbook(target, data_only=True).worksheets[0]
    for number, values in enumerate(reference.iter_rows(min_row=2, max_col=6, values_only=True), start=2):
        cells = seen.get(number, (None,) * 6)
        assert tuple(map(_comparable, cells)) == tuple(map(_comparable, values))


def _comparable(value: object) -> object:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, str):
        return value if value.strip() else None
    return float(value) if isinstance(value, int | float | Decimal) and not isinstance(value, bool) else value
