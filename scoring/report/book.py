"""A workbook whose sums are live formulas, each with the figure that it gives. Pure.

The figure is written beside the formula, as a spreadsheet program does when it saves: whoever only looks at the file
(a phone, a mail program) sees figures, and a program that reckons finds the same.
"""

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils.cell import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from events.sheets.safe import neutral

Plain = str | int | float | date | datetime | None
Figure = int | float | str | None  # None: the formula gives an empty text
Cells = Sequence[Plain]

LONGEST_TEXT = 32_767
BOLD = Font(bold=True)
MONEY = "#,##0.00"
_FORMULA = re.compile(r'<c r="([A-Z]+[0-9]+)"((?: s="[0-9]+")?)><f>(.*?)</f><v ?/></c>')
_SHEET = re.compile(r"xl/worksheets/sheet([0-9]+)\.xml")


def at(row: int, column: int) -> str:
    """ "B7" """
    return f"{get_column_letter(column)}{row}"


def span(row: int, column: int, to_row: int, to_column: int) -> str:
    """ "B7:D7" """
    return f"{at(row, column)}:{at(to_row, to_column)}"


@dataclass(slots=True)
class Tab:
    """One sheet of the workbook. Rows and columns count from 1."""

    sheet: Worksheet
    about: str
    for_whom: str
    figures: dict[str, Figure] = field(default_factory=dict)

    def put(self, row: int, column: int, value: Plain, *, bold: bool = False, form: str = "") -> None:
        """A value that no program takes for a formula; nothing for what is not known."""
        if value is None or value == "":
            return
        cell = self.sheet.cell(row, column)
        if isinstance(value, str):
            cell.value = str(neutral(value))[:LONGEST_TEXT]
            cell.data_type = "s"
        else:
            cell.value = value
        if bold:
            cell.font = BOLD
        if form:
            cell.number_format = form

    def formula(
        self, row: int, column: int, text: str, figure: Figure, *, bold: bool = False, form: str = ""
    ) -> None:
        """A live formula (without its equals sign) and the figure that it gives."""
        cell = self.sheet.cell(row, column)
        cell.value = f"={text}"
        if bold:
            cell.font = BOLD
        if form:
            cell.number_format = form
        self.figures[at(row, column)] = figure

    def headings(self, row: int, words: Iterable[str], *, right_from: int = 0) -> None:
        """Bold words from the first column on; those from column `right_from` on stand at the right."""
        for column, word in enumerate(words, start=1):
            self.put(row, column, word, bold=True)
            right = right_from and column >= right_from
            self.sheet.cell(row, column).alignment = Alignment(horizontal="right" if right else "left")

    def rows(self, row: int, rows: Iterable[Cells]) -> int:
        """Rows of values from `row` on; the number of the row after them."""
        for values in rows:
            for column, value in enumerate(values, start=1):
                self.put(row, column, value)
            row += 1
        return row

    def table(self, head: Cells, rows: Sequence[Cells]) -> None:
        """A whole sheet of rows under headings that stay in sight, as wide as their words."""
        self.headings(1, [str(word) for word in head])
        self.rows(2, rows)
        self.sheet.freeze_panes = "A2"
        self.widths(
            max(
                len(str(row[at_] if at_ < len(row) and row[at_] is not None else "")) for row in [head, *rows]
            )
            for at_ in range(len(head))
        )

    def widths(self, letters: Iterable[int]) -> None:
        for column, count in enumerate(letters, start=1):
            self.sheet.column_dimensions[get_column_letter(column)].width = min(max(count + 2, 8), 60)


class Book:
    def __init__(self) -> None:
        self._book = Workbook()
        self._book.remove(self._book.worksheets[0])
        self.tabs: list[Tab] = []

    def tab(self, title: str, about: str, for_whom: str) -> Tab:
        """A new sheet at the end. `about` and `for_whom` stand on the sheet of contents."""
        sheet = self._book.create_sheet(title)
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.fitToHeight = 0  # as many pages down as it takes, one across
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        made = Tab(sheet, about, for_whom)
        self.tabs.append(made)
        return made

    def to_bytes(self) -> bytes:
        target = io.BytesIO()
        self._book.save(target)
        return _with_figures(target.getvalue(), [tab.figures for tab in self.tabs])


def _with_figures(content: bytes, figures: Sequence[dict[str, Figure]]) -> bytes:
    """The same file with each formula's figure in its cell."""
    target = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            part = old.read(name)
            if match := _SHEET.fullmatch(name):
                put = partial(_cell, figures=figures[int(match[1]) - 1])
                part = _FORMULA.sub(put, part.decode()).encode()
            new.writestr(name, part)
    return target.getvalue()


def _cell(match: re.Match[str], figures: dict[str, Figure]) -> str:
    where, style, formula = match[1], match[2], match[3]
    figure = figures[where]
    if figure is None or isinstance(figure, str):
        return f'<c r="{where}"{style} t="str"><f>{formula}</f><v>{escape(figure or "")}</v></c>'
    return f'<c r="{where}"{style}><f>{formula}</f><v>{figure!r}</v></c>'
