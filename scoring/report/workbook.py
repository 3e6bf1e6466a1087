"""The results workbook: a sheet for each division with live sums, the draw, the log.

Sums are formulas where a reader would check them: a round is the sum of its holes and additional penalties, the
total is the sum of the rounds, against par is the total less par. A round or total that is not complete stays
empty, never zero.
"""

import io
from collections.abc import Sequence
from datetime import datetime

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils.cell import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from events.entries.models import Status
from events.entries.statuses import STATUS_WORDS
from events.sheets.safe import neutral
from scoring.report.queries import Cells, left_out
from scoring.standings.queries import DivisionRound, DivisionStandings, Row
from scoring.standings.ranking import Group
from scoring.standings.showing import division_sub

HEAD_ROW = 3
PAR_ROW = 4
FIRST_ROW = 5
FACTS = ("place", "player", "member", "town", "state")
LONGEST_TEXT = 32_767
BOLD = Font(bold=True)


def workbook_bytes(
    *,
    title: str,
    as_of: datetime,
    divisions: Sequence[DivisionStandings],
    draw: list[Cells],
    log: list[Cells],
) -> bytes:
    """The workbook as .xlsx; `as_of` is naive, as the clock at the venue shows it."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for division in divisions:
        _division(book.create_sheet(division.code), division, title, as_of)
    _table(book.create_sheet("Draw"), draw)
    _table(book.create_sheet("Log, for the desk"), log)
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def _division(sheet: Worksheet, division: DivisionStandings, title: str, as_of: datetime) -> None:
    rounds = [each for each in division.rounds if each.begun]
    _put(sheet, 1, 1, f"{division.code} {division.name} · {title}")
    _put(sheet, 2, 1, _under(division, as_of))
    sheet.cell(1, 1).font = BOLD
    columns = _Columns(rounds)
    for column, word in columns.headings():
        _put(sheet, HEAD_ROW, column, word)
        sheet.cell(HEAD_ROW, column).font = BOLD
        sheet.cell(HEAD_ROW, column).alignment = Alignment(horizontal="left" if column <= 5 else "right")
    _par(sheet, columns)
    shown = [row for row in division.rows if row.standing.group is not Group.DQ]
    for at, row in enumerate(shown, start=FIRST_ROW):
        _player(sheet, at, row, columns)
    sheet.freeze_panes = f"C{FIRST_ROW}"
    for column, width in ((1, 7), (2, 30), (3, 10), (4, 18), (5, 22)):
        sheet.column_dimensions[get_column_letter(column)].width = width
    for column in range(6, columns.end):
        sheet.column_dimensions[get_column_letter(column)].width = 8 if column < columns.first_hole else 5


def _under(division: DivisionStandings, as_of: datetime) -> str:
    parts = [division_sub(division), f"as of {as_of:%Y-%m-%d %H:%M}", "equal scores share a place"]
    out = left_out(division)
    if out:
        players = "1 disqualified player is" if out == 1 else f"{out} disqualified players are"
        parts.append(f"{players} left out (Competition Manual 2025, 5.06.D)")
    return " · ".join(part for part in parts if part)


class _Columns:
    """Where what stands: facts, a column for each round, total, against par, then the holes of each round."""

    def __init__(self, rounds: Sequence[DivisionRound]) -> None:
        self.rounds = tuple(rounds)
        self.round = {each.number: len(FACTS) + 1 + at for at, each in enumerate(rounds)}
        self.total = len(FACTS) + len(rounds) + 1
        self.to_par = self.total + 1
        self.first_hole = self.to_par + 1
        self.holes: dict[int, tuple[int, int]] = {}
        at = self.first_hole
        for each in rounds:
            count = len(each.layout.holes) if each.layout else 0
            self.holes[each.number] = (at, count)
            at += count + 1  # and one for additional penalties
        self.end = at

    def headings(self) -> list[tuple[int, str]]:
        found = list(enumerate(FACTS, start=1))
        found += [(column, f"R{number}") for number, column in self.round.items()]
        found += [(self.total, "total"), (self.to_par, "to par")]
        for each in self.rounds:
            first, count = self.holes[each.number]
            labels = [hole.label for hole in each.layout.holes] if each.layout else []
            found += [(first + at, f"R{each.number} {label}") for at, label in enumerate(labels)]
            found.append((first + count, f"R{each.number} extra"))
        return found

    def round_range(self, row: int) -> str:
        return _range(row, len(FACTS) + 1, len(self.rounds))


def _range(row: int, first: int, count: int) -> str:
    return f"{get_column_letter(first)}{row}:{get_column_letter(first + count - 1)}{row}"


def _par(sheet: Worksheet, columns: _Columns) -> None:
    _put(sheet, PAR_ROW, 2, "par")
    for each in columns.rounds:
        if each.layout is None:
            continue
        first, count = columns.holes[each.number]
        for at, hole in enumerate(each.layout.holes):
            _put(sheet, PAR_ROW, first + at, hole.par)
        _formula(sheet, PAR_ROW, columns.round[each.number], f"SUM({_range(PAR_ROW, first, count)})")
    if columns.rounds:
        _formula(sheet, PAR_ROW, columns.total, f"SUM({columns.round_range(PAR_ROW)})")


def _player(sheet: Worksheet, at: int, row: Row, columns: _Columns) -> None:
    standing = row.standing
    facts = (standing.place, standing.name, standing.member_number, row.town, _state(row))
    for column, fact in enumerate(facts, start=1):
        _put(sheet, at, column, fact)
    for played in row.rounds:
        if played.number in columns.holes and played.throws is not None:
            _round(sheet, at, played.number, played.throws, played.additional, columns)
    if not columns.rounds:
        return
    rounds, count = columns.round_range(at), len(columns.rounds)
    total = f"{get_column_letter(columns.total)}{at}"
    par = f"{get_column_letter(columns.total)}${PAR_ROW}"
    _formula(sheet, at, columns.total, f'IF(COUNT({rounds})={count},SUM({rounds}),"")')
    _formula(sheet, at, columns.to_par, f'IF({total}="","",{total}-{par})')


def _round(
    sheet: Worksheet, at: int, number: int, throws: Sequence[int | None], additional: int, columns: _Columns
) -> None:
    first, count = columns.holes[number]
    if len(throws) != count:
        return  # on another layout than the division's: its holes would stand under wrong headings
    for hole, figure in enumerate(throws):
        _put(sheet, at, first + hole, figure)
    _put(sheet, at, first + count, additional or None)
    holes = _range(at, first, count)
    every = _range(at, first, count + 1)
    _formula(sheet, at, columns.round[number], f'IF(COUNT({holes})={count},SUM({every}),"")')


def _state(row: Row) -> str:
    """Empty for who has a place and every card; the code of the report beside "did not finish"."""
    standing = row.standing
    if standing.group is Group.RANKED and standing.complete:
        return ""
    if standing.group is Group.DNF and standing.words == Status.DID_NOT_FINISH.label:
        code = STATUS_WORDS[Status.DID_NOT_FINISH].report_code
        return f"{standing.words} ({code})"
    return standing.words


def _table(sheet: Worksheet, rows: list[Cells]) -> None:
    """Rows as they are, the first as headings."""
    for at, row in enumerate(rows, start=1):
        for column, value in enumerate(row, start=1):
            _put(sheet, at, column, value)
    for column, _ in enumerate(rows[0], start=1):
        sheet.cell(1, column).font = BOLD
        longest = max(len(str(row[column - 1] or "")) for row in rows)
        sheet.column_dimensions[get_column_letter(column)].width = min(max(longest + 2, 8), 60)
    sheet.freeze_panes = "A2"


def _put(sheet: Worksheet, row: int, column: int, value: str | int | datetime | None) -> None:
    """A value that no program takes for a formula; nothing for what is not known."""
    if value is None or value == "":
        return
    safe = neutral(value)
    cell = sheet.cell(row, column)
    if isinstance(safe, str):
        cell.value = safe[:LONGEST_TEXT]
        cell.data_type = "s"
    elif isinstance(safe, int | datetime):
        cell.value = safe


def _formula(sheet: Worksheet, row: int, column: int, formula: str) -> None:
    sheet.cell(row, column).value = f"={formula}"
