"""Which row holds the headings, and what they are called."""

import re
from collections.abc import Collection, Sequence
from datetime import date
from decimal import Decimal

from events.sheets.cells import Cell, clean, shown, squeezed
from events.sheets.sheetreader import Grid, Merge

_SEARCHED_ROWS = 40
_LONGEST_HEADING = 80
_LONGEST_KEPT = 200
_PARENTHESES = re.compile(r"[(\[（].*?[)\]）]")

Candidate = tuple[int, list[Cell]]


def recognised(cells: Sequence[Cell], expected: Collection[str]) -> int:
    """How many different cells are headings that the caller knows (`expected` in `squeezed` form)."""
    found: set[str] = set()
    for cell in cells:
        if isinstance(cell, str) and len(cell) <= _LONGEST_HEADING:
            found.update({squeezed(cell), squeezed(without_remark(cell))} & set(expected))
    return len(found)


def without_remark(heading: str) -> str:
    """`Paid (in euros)` without what stands in parentheses."""
    return _PARENTHESES.sub(" ", heading)


def heading_position(grid: Grid, expected: Collection[str]) -> int | None:
    """Index into `grid.rows` of the heading row, or None when the grid is empty.

    The row with most known headings; where fewer than two are known anywhere, the first row that is nearly
    as full as the fullest and all text. Headings of two rows: the lower one, completed by merged cells,
    wins a tie.
    """
    rows = grid.rows[:_SEARCHED_ROWS]
    if not rows:
        return None
    best, most = 0, 0
    for position, (number, cells) in enumerate(rows):
        completed, inherited = complete(number, cells, grid)
        known = recognised(completed, expected)
        if known > most or (known == most > 1 and inherited):
            best, most = position, known
    return best if most > 1 else _fullest_text(rows)


def _fullest_text(rows: Sequence[Candidate]) -> int:
    filled = [sum(cell is not None for cell in cells) for _, cells in rows]
    enough = max(filled) * 0.6
    full = [position for position, count in enumerate(filled) if count >= enough]
    texts = [p for p in full if all(_may_be_heading(cell) for cell in rows[p][1])]
    return (texts or full)[0]


def _may_be_heading(cell: Cell) -> bool:
    if cell is None:
        return True
    return isinstance(cell, str) and len(cell) <= _LONGEST_HEADING and not cell.strip()[:1].isdigit()


def complete(number: int, cells: Sequence[Cell], grid: Grid) -> tuple[list[Cell], bool]:
    """The cells with the values of merged cells that reach into this row, and whether any came from above."""
    result = list(cells)
    inherited = False
    for merge in grid.merges:
        if not merge.top <= number <= merge.bottom:
            continue
        value = _value_at(grid, merge)
        for column in range(merge.left, merge.right + 1 if merge.right - merge.left < 200 else merge.left):
            if column == merge.left and merge.top == number:
                continue
            result.extend([None] * (column + 1 - len(result)))
            if result[column] is None and value is not None:
                result[column] = value
                inherited = inherited or merge.top < number
    return result, inherited


def _value_at(grid: Grid, merge: Merge) -> Cell:
    for number, cells in grid.rows[:_SEARCHED_ROWS]:
        if number == merge.top:
            return cells[merge.left] if merge.left < len(cells) else None
    return None


def heading_texts(number: int, cells: Sequence[Cell], grid: Grid, width: int) -> tuple[str, ...]:
    """One text per column, "" where the heading is blank; padded to `width`."""
    completed, _ = complete(number, cells, grid)
    texts = [_heading(cell) for cell in completed[:width]]
    return tuple(texts + [""] * (width - len(texts)))


def _heading(cell: Cell) -> str:
    if isinstance(cell, str):
        return clean(cell[:_LONGEST_KEPT])
    return shown(cell) if isinstance(cell, int | Decimal | date) else ""
