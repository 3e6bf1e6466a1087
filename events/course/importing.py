"""Layouts from a workbook: one row a hole, the layout named in a column or once for the whole sheet."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from events.course.grid import HoleRow
from events.course.models import Layout
from events.course.services import save_layout
from events.log.services import Actor
from events.setup.figures import in_metres
from events.setup.models import Event
from events.sheets.cells import Cell, shown
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table, read_table
from events.sheets.values import BadValue, integer, text

FIELDS = (
    Field("layout", "layout", ("course", "layout name", "set-up", "setup"), "text"),
    Field("label", "hole", ("hole number", "hole label", "label", "no", "number"), "text", required=True),
    Field("par", "par", ("hole par",), "integer", required=True),
    Field(
        "length",
        "length",
        ("distance", "metres", "meters", "feet", "length m", "length ft", "m", "ft"),
        "integer",
    ),
    Field("tee", "tee", ("tee name", "tee pad", "pad"), "text"),
    Field("target", "target", ("basket", "pin", "target name"), "text"),
    Field("walk", "walk", ("walk minutes", "walk min", "minutes"), "integer"),
    Field("note", "note", ("notes", "remark", "comment", "out of bounds"), "text"),
)


@dataclass(frozen=True, slots=True)
class FoundLayouts:
    """What the file holds: rows by layout name, in the order of the file, and every problem."""

    layouts: dict[str, list[HoleRow]]
    problems: tuple[Problem, ...]


def read_layouts(name: str, data: bytes, *, units: str) -> FoundLayouts:
    """Read layouts from an .xlsx or csv. Lengths are taken in `units` ("m" or "ft"). Raises `Refused`."""
    table = read_table(name, data, expected=vocabulary(FIELDS))
    columns = guess(table.headings, [row.cells for row in table.rows[:20]], FIELDS)
    missing = [field.label for field in FIELDS if field.required and columns[field.key] is None]
    if missing:
        heading = f"no column for {' and '.join(missing)}"
        return FoundLayouts(
            {}, (Problem(table.header_row, "", "", heading, "name the columns hole and par"),)
        )
    problems: list[Problem] = []
    layouts: dict[str, list[HoleRow]] = {}
    for row in table.rows:
        reader = _RowReader(table, row, columns, problems)
        hole = reader.hole(units)
        layout = reader.value("layout", text) or table.sheet or "Layout"
        if hole is not None:
            layouts.setdefault(layout, []).append(hole)
    return FoundLayouts(layouts, tuple(problems))


@dataclass(frozen=True, slots=True)
class _RowReader:
    table: Table
    row: Row
    columns: dict[str, int | None]
    problems: list[Problem]

    def cell(self, key: str) -> Cell:
        index = self.columns[key]
        return None if index is None else self.row.cells[index]

    def value(self, key: str, convert: Callable[..., Any], **limits: int) -> Any:
        try:
            return convert(self.cell(key), **limits)
        except BadValue as bad:
            self._problem(key, bad.problem, bad.mend)
            return None

    def _problem(self, key: str, problem: str, mend: str) -> None:
        column = self.table.column_name(self.columns[key] or 0)
        self.problems.append(Problem(self.row.number, column, shown(self.cell(key)), problem, mend))

    def hole(self, units: str) -> HoleRow | None:
        """The row as a hole; None, with a problem noted, where label or par cannot be read."""
        before = len(self.problems)
        label = self.value("label", text, longest=6)
        par = self.value("par", integer, least=2, most=9)
        if label is None and par is None and len(self.problems) == before:
            return None  # a remark or a total under the holes
        if label is None and len(self.problems) == before:
            self._problem("label", "is blank", "write what the sign of the hole says, as 7 or 12B")
        if par is None and len(self.problems) == before:
            self._problem("par", "is blank", "write the par of this hole, 2 to 9")
        length = self.value("length", integer, least=10, most=2000)
        walk = self.value("walk", integer, least=0, most=120)
        tee, target = self.value("tee", text, longest=40), self.value("target", text, longest=40)
        note = self.value("note", text, longest=200)
        if label is None or par is None:
            return None
        return HoleRow(label, par, in_metres(length, units), tee or "", target or "", walk, note or "")


@transaction.atomic
def save_all(*, event: Event, found: FoundLayouts, actor: Actor, now: datetime) -> list[str]:
    """Save every layout of the file, replacing those of the same name; all or none. Raises LayoutRefused."""
    standing = {layout.name: layout for layout in Layout.objects.filter(event=event)}
    for name, rows in found.layouts.items():
        save_layout(
            event=event,
            name=name,
            layout=standing.get(name),
            rows=rows,
            reason="imported from a workbook" if name in standing else "",
            actor=actor,
            now=now,
        )
    return list(found.layouts)
