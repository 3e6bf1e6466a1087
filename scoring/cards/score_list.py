"""A list of scores as directors keep it: one row a player, hole scores in hole order or under hole labels."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from events.course.queries import LayoutFacts
from events.sheets.bad import BadValue, readable
from events.sheets.cells import Cell, plain, shown, squeezed
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table, read_table
from events.sheets.values import full_name, integer, member_number, text
from players.names import fold
from scoring.cards.checking import MOST_TOTAL, LineIn
from scoring.cards.reading import score_row
from scoring.cards.states import CardState, PlayerLine

FIELDS = (
    Field("number", "member number", ("member no", "member", "membership number", "player number"), "member_number"),
    Field("name", "name", ("player", "player name", "full name", "competitor"), "full_name"),
    Field("given", "first name", ("given name", "forename"), "name"),
    Field("family", "last name", ("family name", "surname"), "name"),
    Field("total", "total", ("sum", "round total", "written total", "score"), "integer"),
    Field("additional", "additional penalty throws", ("additional", "additional penalties", "extra throws"), "integer"),
)  # fmt: skip
_PREFIX = re.compile(r"\A(?:hole|number|h)(?=.)")
_NUMBERED = re.compile(r"(?:hole|number|h)?(\d{1,2})[a-z]?\Z")


@dataclass(frozen=True, slots=True)
class ScoreList:
    """Lines by group number, the rows without any score, and every problem; no row is both line and problem."""

    lines: Mapping[int, Sequence[LineIn]]
    blank_rows: tuple[int, ...]
    problems: tuple[Problem, ...]


@dataclass(slots=True)
class _Reader:
    table: Table
    columns: Mapping[str, int | None]
    states: Sequence[CardState]
    by_number: dict[int, tuple[CardState, PlayerLine]] = field(default_factory=dict)
    by_name: dict[str, list[tuple[CardState, PlayerLine]]] = field(default_factory=dict)
    holes: dict[int, list[int] | None] = field(default_factory=dict)
    seen: dict[int, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def problem(self, row: Row, index: int | None, what: str, mend: str) -> None:
        column = "" if index is None else self.table.column_name(index)
        value = "" if index is None else shown(row.cells[index])
        self.problems.append(Problem(row.number, column, value, what, mend))


def read_scores(name: str, data: bytes, states: Sequence[CardState]) -> ScoreList:
    """Read an .xlsx or csv for the cards of one round. Raises events.sheets.refusal.Refused.

    The holes are found by their labels as headings (`7`, `Hole 7`, `4S`) for every layout whose labels are
    all there; for other layouts the columns headed by hole numbers are taken in their order.
    """
    labels = {squeezed(hole.label) for state in states for hole in state.layout.holes}
    known = vocabulary(FIELDS) | labels | {f"hole{label}" for label in labels}
    table = read_table(name, data, expected=known)
    columns = guess(table.headings, [row.cells for row in table.rows[:20]], FIELDS)
    reader = _Reader(table, _without_holes(table, columns, labels), states)
    for state in states:
        for player in state.players:
            if player.member_number is not None:
                reader.by_number[player.member_number] = (state, player)
            reader.by_name.setdefault(fold(player.name), []).append((state, player))
        if state.layout.id not in reader.holes:
            reader.holes[state.layout.id] = _hole_columns(table, state.layout)
    return _read_rows(reader)


def _without_holes(
    table: Table, columns: Mapping[str, int | None], labels: set[str]
) -> dict[str, int | None]:
    """A column headed by a hole's label is that hole, whatever its figures look like."""
    return {
        key: None if index is not None and squeezed(table.headings[index]) in labels else index
        for key, index in columns.items()
    }


def _hole_columns(table: Table, layout: LayoutFacts) -> list[int] | None:
    """The column of each hole in layout order; None: the file has no such columns."""
    headings = [squeezed(heading) for heading in table.headings]
    bare = [_PREFIX.sub("", heading) for heading in headings]
    labels = [squeezed(hole.label) for hole in layout.holes]
    for names in (headings, bare):
        if all(names.count(label) == 1 for label in labels):
            return [names.index(label) for label in labels]
    numbered = [index for index, heading in enumerate(headings) if _NUMBERED.match(heading)]
    return numbered if len(numbered) >= len(labels) else None


def _read_rows(reader: _Reader) -> ScoreList:
    lines: dict[int, list[LineIn]] = {}
    blanks: list[int] = []
    if not _has_players(reader):
        return ScoreList({}, (), tuple(reader.problems))
    for row in reader.table.rows:
        found = _player(reader, row)
        if found is None:
            continue
        state, player = found
        line = _line(reader, row, state, player)
        if line is None:
            continue
        if any(score is not None for score in line.throws):
            lines.setdefault(state.number, []).append(line)
        else:
            blanks.append(row.number)
    return ScoreList(lines, tuple(blanks), tuple(reader.problems))


def _has_players(reader: _Reader) -> bool:
    if any(reader.columns[key] is not None for key in ("number", "name", "family")):
        return True
    header = reader.table.header_row
    what = "no column for the players"
    reader.problems.append(Problem(header, "", "", what, "name a column member number or name"))
    return False


def _cell(reader: _Reader, row: Row, key: str) -> Cell:
    index = reader.columns[key]
    return None if index is None else row.cells[index]


def _player(reader: _Reader, row: Row) -> tuple[CardState, PlayerLine] | None:
    """Whose row it is; None, with a problem noted, where that is not clear."""
    number, index = None, reader.columns["number"]
    try:
        number = member_number(_cell(reader, row, "number"))
    except BadValue as bad:
        reader.problem(row, index, bad.problem, bad.mend)
        return None
    name = _name(reader, row)
    if number is None and not name:
        if any(squeezed(shown(cell)) for cell in row.cells):
            at = index if index is not None else reader.columns["name"]
            reader.problem(
                row, at, "nobody is named", "write the member number or the name, or clear the row"
            )
        return None
    found = _found(reader, row, number, name)
    if found is not None and found[1].entry_id in reader.seen:
        first = reader.seen[found[1].entry_id]
        at = index if index is not None else reader.columns["name"]
        reader.problem(row, at, f"{found[1].name} stands in row {first} already", "keep one of the two rows")
        return None
    if found is not None:
        reader.seen[found[1].entry_id] = row.number
    return found


def _name(reader: _Reader, row: Row) -> str:
    """The name as it is folded for comparing; "" where none can be read."""
    try:
        whole = full_name(_cell(reader, row, "name"))
        if whole is not None:
            return fold(" ".join(whole))
        parts = [text(_cell(reader, row, "given")) or "", text(_cell(reader, row, "family")) or ""]
    except BadValue:
        return ""
    return fold(" ".join(parts))


def _found(reader: _Reader, row: Row, number: int | None, name: str) -> tuple[CardState, PlayerLine] | None:
    at = reader.columns["number"] if number is not None else None
    if at is None:
        at = reader.columns["name"] if reader.columns["name"] is not None else reader.columns["family"]
    if number is not None and number in reader.by_number:
        found = reader.by_number[number]
        if name and not set(name.split()) & set(fold(found[1].name).split()):
            what = f"this number is {found[1].name}'s, the name is another"
            reader.problem(row, at, what, "correct the number or the name")
            return None
        return found
    matches = reader.by_name.get(name, [])
    # Somebody without a member number in the field may be listed with one; nobody with another number is.
    fitting = [match for match in matches if number is None or match[1].member_number is None]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        reader.problem(row, at, "several players have this name", "write the member number")
    else:
        reader.problem(
            row, at, "is not on the published tee sheet of this round", "correct it or clear the row"
        )
    return None


def _line(reader: _Reader, row: Row, state: CardState, player: PlayerLine) -> LineIn | None:
    before = len(reader.problems)
    throws = _throws(reader, row, state)
    total = _number(reader, row, "total", least=1)
    additional = _number(reader, row, "additional", least=0) or 0
    if len(reader.problems) > before:
        return None
    if total is not None and all(score is not None for score in throws):
        added = sum(score for score in throws if score is not None) + additional
        if total != added:
            what = f"the holes add up to {added}"
            reader.problem(row, reader.columns["total"], what, "correct a hole or the total")
            return None
    reason = "as in the imported list" if additional else ""
    return LineIn(player.entry_id, throws, (), additional, reason, total)


def _throws(reader: _Reader, row: Row, state: CardState) -> Sequence[int | None]:
    columns = reader.holes[state.layout.id]
    count = len(state.layout.holes)
    if columns is None:
        what = f"the file has no columns for the {count} holes of {state.layout.name}"
        first = state.layout.holes[0].label
        last = state.layout.holes[-1].label
        reader.problem(row, None, what, f"head them {first} to {last}, or 1 to {count} in hole order")
        return [None] * count
    cells: list[object] = []
    for index in columns:
        try:
            value = readable(row.cells[index])
        except BadValue as bad:
            reader.problem(row, index, bad.problem, bad.mend)
            value = None
        # A dash or a word for "not played" is a blank hole.
        cells.append(None if isinstance(value, str) and plain(value) in {"", "dnf", "dns", "dnp"} else value)
    reading = score_row(cells, count)
    for problem in reading.problems:
        reader.problem(row, columns[problem.index], problem.sentence, "write the throws of this hole")
    return reading.throws


def _number(reader: _Reader, row: Row, key: str, *, least: int) -> int | None:
    try:
        return integer(_cell(reader, row, key), least=least, most=MOST_TOTAL)
    except BadValue as bad:
        value = _cell(reader, row, key)
        if isinstance(value, str) and plain(value) in {"", "dnf", "dns", "dnp", "dq"}:
            return None
        reader.problem(row, reader.columns[key], bad.problem, bad.mend)
        return None
