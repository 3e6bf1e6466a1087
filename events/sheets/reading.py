"""A spreadsheet file as one table: headings wherever they stand, and the filled rows under them."""

import string
from collections.abc import Collection
from dataclasses import dataclass, field

from events.sheets.cells import Cell
from events.sheets.delimited import read_records
from events.sheets.headings import complete, heading_position, heading_texts, recognised
from events.sheets.kinds import kind_of
from events.sheets.package import open_package
from events.sheets.refusal import DEFAULT_LIMITS, Limits, Refused
from events.sheets.sheetreader import Grid
from events.sheets.xlsx import Sheet, Workbook

__all__ = ["DEFAULT_LIMITS", "Limits", "Refused", "Row", "Table", "letters", "read_table"]

_PEEKED_ROWS = 60


@dataclass(frozen=True, slots=True)
class Row:
    """One filled row; `number` as the user's spreadsheet program shows it (from 1)."""

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Table:
    """`headings` and every row's `cells` have the same length; index 0 is column A.

    `sheet` is "" for separated text; `notes` are remarks for the director about how the file was read.
    """

    sheet: str
    other_sheets: tuple[str, ...]
    header_row: int
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = field(default=())

    def column_name(self, index: int) -> str:
        """The heading; with the column's letter where it is blank or used twice."""
        heading = self.headings[index]
        if heading and self.headings.count(heading) == 1:
            return heading
        return f"{heading} (column {letters(index)})" if heading else f"column {letters(index)}"

    @property
    def used(self) -> tuple[int, ...]:
        """The columns that have a heading or any value: what a preview shows."""
        filled = {i for row in self.rows for i, cell in enumerate(row.cells) if cell is not None}
        return tuple(i for i, heading in enumerate(self.headings) if heading or i in filled)


def letters(index: int) -> str:
    """Column 0 is A, 26 is AA."""
    name, rest = "", index + 1
    while rest:
        rest, digit = divmod(rest - 1, 26)
        name = string.ascii_uppercase[digit] + name
    return name


def read_table(
    name: str,
    data: bytes,
    *,
    sheet: str | None = None,
    expected: Collection[str] = (),
    limits: Limits = DEFAULT_LIMITS,
) -> Table:
    """Read an .xlsx (or .xlsm, as data only) or separated text by its content, whatever `name` ends in.

    `sheet` chooses a sheet by name, else the one that looks most like what is expected is taken.
    `expected`: known headings in squeezed form (`matching.vocabulary`); they find the heading row, the sheet
    and the separator. Raises `Refused` with a sentence for the person who chose the file.
    """
    if len(data) > limits.upload:
        raise Refused(
            f"The file is {len(data) / 1_048_576:.1f} MB; at most {limits.upload / 1_048_576:.0f} MB are"
            " read. Delete pictures and unused sheets, or save it as .csv."
        )
    if kind_of(name, data) == "text":
        records = read_records(data, expected=expected, limits=limits)
        return _table("", (), records.grid, expected, records.notes)
    workbook = Workbook(open_package(data, limits), limits)
    chosen = _chosen(workbook, sheet, expected)
    grid = workbook.grid(chosen)
    others = tuple(other.name for other in workbook.sheets if other is not chosen)
    return _table(chosen.name, others, grid, expected, _remarks(grid))


def _chosen(workbook: Workbook, wanted: str | None, expected: Collection[str]) -> Sheet:
    """The wanted sheet; else the one with most known headings, then with most filled cells among its rows."""
    if wanted is not None:
        for sheet in workbook.sheets:
            if sheet.name == wanted:
                return sheet
        raise Refused(f"The workbook has no sheet named {wanted[:60]}.")
    visible = [sheet for sheet in workbook.sheets if not sheet.hidden] or list(workbook.sheets)
    if len(visible) == 1:
        return visible[0]
    return max(visible, key=lambda sheet: _likeness(workbook.grid(sheet, at_most=_PEEKED_ROWS), expected))


def _likeness(grid: Grid, expected: Collection[str]) -> tuple[int, int]:
    position = heading_position(grid, expected)
    if position is None:
        return (-1, 0)
    number, cells = grid.rows[position]
    known = recognised(complete(number, cells, grid)[0], expected)
    return known, sum(cell is not None for _, row in grid.rows[position + 1 :] for cell in row)


def _remarks(grid: Grid) -> tuple[str, ...]:
    if not grid.hidden:
        return ()
    return (f"Hidden rows in the sheet were read like all others: {grid.hidden} (a filter may be on).",)


def _table(
    sheet: str, others: tuple[str, ...], grid: Grid, expected: Collection[str], notes: tuple[str, ...]
) -> Table:
    position = heading_position(grid, expected)
    if position is None:
        where = f"The sheet {sheet}" if sheet else "The file"
        raise Refused(f"{where} holds no filled cell.")
    number, cells = grid.rows[position]
    width = max(len(row) for _, row in grid.rows[position:])
    headings = heading_texts(number, cells, grid, width)
    blank: tuple[None, ...] = (None,) * width
    rows = tuple(Row(at, (*row, *blank[len(row) :])) for at, row in grid.rows[position + 1 :])
    return Table(sheet, others, number, headings, rows, notes)
