"""The cells of one worksheet: position, type, stored value."""

from dataclasses import dataclass, field
from datetime import datetime

from openpyxl.utils.cell import column_index_from_string

from events.sheets import formats
from events.sheets.cells import Cell, Uncomputed, is_blank
from events.sheets.refusal import Limits, Refused, damaged
from events.sheets.xmlreader import Enough, Reader

_LAST_HEADING_ROW = 200
_LAST_ROW = 1_048_576  # the format's own last row


@dataclass(frozen=True)
class Merge:
    """Merged cells: rows 1-based, columns 0-based, both ends included; the value is in the first cell."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass
class Grid:
    """The filled rows of one sheet as (row number 1-based, cells from column A on), what is merged,
    and how many of the filled rows are hidden (a filter was left on)."""

    rows: list[tuple[int, list[Cell]]] = field(default_factory=list)
    merges: list[Merge] = field(default_factory=list)
    hidden: int = 0


class SheetReader(Reader):
    """One sheet's cells. The dimension that the sheet claims is not looked at: it may lie."""

    def __init__(
        self,
        strings: list[str | None],
        dates: frozenset[str],
        epoch: datetime,
        limits: Limits,
        at_most: int | None,
    ) -> None:
        super().__init__()
        self.grid = Grid()
        self._strings, self._dates, self._epoch = strings, dates, epoch
        self._limits, self._at_most = limits, at_most
        self._row = self._column = self._seen = 0
        self._cells: list[Cell] = []
        self._columns: dict[str, int] = {}
        self._cell: dict[str, str] = {}
        self._value: str | None = None
        self._formula: str | None = None
        self._inline: list[str] = []
        self._phonetic = self._hidden = False
        self.starts = {
            "row": self._open_row, "c": self._open_cell, "v": self.listen, "f": self.listen,
            "t": self.listen, "rPh": self._mute, "mergeCell": self._merge,
        }  # fmt: skip
        self.ends = {
            "row": self._close_row, "c": self._close_cell, "v": self._close_value,
            "f": self._close_formula, "t": self._close_inline, "rPh": self._unmute,
        }  # fmt: skip

    def _open_row(self, attributes: dict[str, str]) -> None:
        number = attributes.get("r")
        self._row = int(number) if number else self._row + 1
        if not 1 <= self._row <= _LAST_ROW:
            raise damaged(f"it has a row numbered {self._row}")
        self._column = -1
        self._cells = []
        self._hidden = attributes.get("hidden") in ("1", "true")

    def _open_cell(self, attributes: dict[str, str]) -> None:
        self._seen += 1
        if self._seen > self._limits.cells:
            raise Refused(
                f"The sheet holds more than {self._limits.cells:,} cells, blank ones counted: copy the list into"
                " a new workbook."
            )
        self._cell = attributes
        self._value = self._formula = None
        self._inline = []
        reference = attributes.get("r")
        if reference is None:
            self._column += 1
            return
        letters = reference.rstrip("0123456789")
        column = self._columns.get(letters)
        if column is None:
            column = self._columns[letters] = column_index_from_string(letters) - 1
        self._column = column

    def _close_value(self) -> None:
        self._value, self.text = "".join(self.text or ()), None

    def _close_formula(self) -> None:
        self._formula, self.text = "".join(self.text or ()), None

    def _close_inline(self) -> None:
        if not self._phonetic:
            self._inline.extend(self.text or ())
        self.text = None

    def _mute(self, _attributes: dict[str, str]) -> None:
        self._phonetic = True

    def _unmute(self) -> None:
        self._phonetic = False

    def _close_cell(self) -> None:
        value = self._made()
        if value is None:
            return
        if self._column >= self._limits.columns:
            raise Refused(
                f"Row {self._row} is filled beyond {self._limits.columns} columns: an entry list has fewer;"
                " delete what stands far to the right."
            )
        missing = self._column - len(self._cells)
        if missing < 0:  # the same cell a second time, or cells out of order
            self._cells[self._column] = value
            return
        if missing:
            self._cells.extend([None] * missing)
        self._cells.append(value)

    def _made(self) -> Cell:
        """The value of the cell that just ended, by its declared type."""
        raw, kind = self._value, self._cell.get("t", "n")
        if kind == "inlineStr":
            return self._text("".join(self._inline))
        if not raw:
            computed = self._formula is None or (kind == "str" and raw is not None)
            return None if computed else Uncomputed(self._formula or "")
        if kind == "s":
            return self._strings[int(raw)]
        if kind == "n":
            value = formats.number(raw)
            return formats.moment(value, self._epoch) if self._cell.get("s") in self._dates else value
        if kind == "b":
            return raw not in ("0", "false")
        return self._iso(raw) if kind == "d" else self._text(raw)

    def _text(self, raw: str) -> str | None:
        text = formats.unescaped(raw)[: self._limits.characters]
        return None if is_blank(text) else text

    def _iso(self, raw: str) -> Cell:
        try:
            return formats.settled(datetime.fromisoformat(raw))
        except ValueError:
            return raw

    def _close_row(self) -> None:
        if not self._cells:
            return
        self.grid.rows.append((self._row, self._cells))
        self.grid.hidden += self._hidden
        if self._at_most is not None and len(self.grid.rows) >= self._at_most:
            raise Enough
        if len(self.grid.rows) > self._limits.rows:
            raise too_many_rows(self._limits)

    def _merge(self, attributes: dict[str, str]) -> None:
        merge = merged_range(attributes.get("ref", ""))
        # Only headings need merges, and they stand near the top.
        if merge and merge.bottom <= _LAST_HEADING_ROW and len(self.grid.merges) < self._limits.merges:
            self.grid.merges.append(merge)


def merged_range(reference: str) -> Merge | None:
    """`B2:C3` as numbers; None for anything else."""
    ends: list[tuple[int, int]] = []
    for end in reference.split(":"):
        letters = end.rstrip("0123456789")
        number = end[len(letters) :]
        if not (letters.isalpha() and letters.isascii() and len(letters) <= 3 and number):
            return None
        ends.append((int(number), column_index_from_string(letters) - 1))
    if len(ends) != 2:
        return None
    return Merge(top=ends[0][0], left=ends[0][1], bottom=ends[1][0], right=ends[1][1])


def too_many_rows(limits: Limits) -> Refused:
    """More filled rows than any event has entrants."""
    return Refused(f"The sheet holds more than {limits.rows:,} filled rows: that is no list of one event.")
