"""Tables for export that no spreadsheet program can mistake for formulas."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.utils.cell import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from events.sheets.cells import Cell, Uncomputed, shown

# Leading blanks and invisible marks are skipped by some programs before they look for a formula.
_FORMULA_START = re.compile("[\\s\x7f-\x9f\u00ad\u200b-\u200f\u2060\ufeff]*[=+@＝＋－＠-]")
_ILLEGAL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_TITLE_FORBIDDEN = re.compile(r"[\[\]:*?/\\]")
_LONGEST_TITLE = 31
_LONGEST_TEXT = 32_767

Value = Cell


def neutral(value: Value) -> Value:
    """The value; text that could start a formula (`= + - @`) led by an apostrophe; leading tabs and line
    ends, and characters that no file can carry, taken off.

    Numbers stay numbers, so that a true -2 stays -2; `cells.clean` takes the apostrophe off again.
    """
    if isinstance(value, Uncomputed):
        return f"'={value.formula}"
    if isinstance(value, str) and value:
        text = _ILLEGAL.sub(_in_its_place, value).lstrip("\t\r\n")
        return f"'{text}" if _FORMULA_START.match(text) else text
    return value


def _in_its_place(match: re.Match[str]) -> str:
    """A vertical tab or form feed parts words; the others are nothing to see."""
    return " " if match[0] in "\v\f" else ""


def write_csv(rows: Iterable[Sequence[Value]]) -> bytes:
    """UTF-8 with a byte-order mark (spreadsheet programs read accents by it), commas, CRLF; None is blank."""
    target = io.StringIO(newline="")
    writer = csv.writer(target, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_as_text(value) for value in row])
    return target.getvalue().encode("utf-8-sig", errors="replace")


def _as_text(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool | date):  # a datetime is a date too
        return shown(value)
    return str(neutral(value))


def write_xlsx(sheets: Mapping[str, Iterable[Sequence[Value]]]) -> bytes:
    """One sheet per title in order, the first row of each frozen as headings; at least one sheet.

    Titles are shortened to what workbooks allow and made different.
    """
    book = Workbook(write_only=True)
    used: set[str] = set()
    for title, rows in sheets.items():
        sheet = book.create_sheet(_title(title, used))
        _fill(sheet, rows)
    if not used:
        raise ValueError("a workbook needs at least one sheet")
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def _fill(sheet: Worksheet, rows: Iterable[Sequence[Value]]) -> None:
    kept = [[_for_workbook(value) for value in row] for row in rows]
    sheet.freeze_panes = "A2"
    for index in range(max((len(row) for row in kept), default=0)):
        longest = max((len(shown(row[index])) for row in kept if index < len(row)), default=0)
        sheet.column_dimensions[get_column_letter(index + 1)].width = min(max(longest + 2, 8), 60)
    for row in kept:
        sheet.append(row)


def _for_workbook(value: Value) -> str | int | Decimal | date | datetime | bool | None:
    """Times with an offset as text: workbooks hold none. Characters that XML cannot carry are left out."""
    if isinstance(value, datetime) and value.tzinfo is not None:
        return value.isoformat(sep=" ", timespec="seconds")
    safe = neutral(value)
    if isinstance(safe, str):
        return safe[:_LONGEST_TEXT]
    assert not isinstance(safe, Uncomputed)
    return safe


def _title(title: str, used: set[str]) -> str:
    """A sheet name of at most 31 allowed characters that no earlier sheet has, whatever the case."""
    base = _TITLE_FORBIDDEN.sub(" ", _ILLEGAL.sub("", title)).strip().strip("'")[:_LONGEST_TITLE] or "Sheet"
    name, number = base, 2
    while name.casefold() in used:
        mark = f" ({number})"
        name, number = base[: _LONGEST_TITLE - len(mark)] + mark, number + 1
    used.add(name.casefold())
    return name
