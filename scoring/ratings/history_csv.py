"""A table of rated rounds: a player's history, or those of many players. Pure.

One row a round: the date, the round's rating, and for more than one player the member number or the name. A blank
rating is a round that is not rated or was not finished.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date as day
from typing import Any

from events.sheets.bad import BadValue
from events.sheets.cells import Cell, is_blank, plain, shown
from events.sheets.dates import DateOrder, date
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.numbers import integer
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table
from events.sheets.values import member_number, rating, text
from scoring.ratings.player import Past
from scoring.ratings.round_csv import no_column

FIELDS = (
    Field("date", "date", ("played", "played on", "round date", "day"), "date", required=True),
    Field("rating", "rating", ("round rating", "rated", "rating of round"), "rating", required=True),
    Field("member", "member number", ("member", "number", "membership number", "id"), "member_number"),
    Field("player", "player", ("name", "full name")),
    Field("round", "round", ("round number", "rd"), "figure"),
    Field("event", "event", ("tournament", "event name", "competition")),
)
EXPECTED = vocabulary(FIELDS)


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One round with who played it: member number, name, or neither in a list of one player alone.

    `number`: that of the round in its event, where the list says it."""

    row: int
    member: int | None
    player: str
    past: Past
    number: int | None = None

    @property
    def key(self) -> int | str:
        """Whose round it is: the member number, else the name as plain text."""
        return plain(self.player) if self.member is None else self.member


def read_history(table: Table, *, order: DateOrder | None = None) -> tuple[list[HistoryRow], list[Problem]]:
    """Every round that can be read, and every problem with its row, column and mend."""
    mapping = guess(table.headings, [row.cells for row in table.rows[:60]], FIELDS)
    missing = [field.key for field in FIELDS if field.required and mapping[field.key] is None]
    if missing:
        return [], [no_column(table, key) for key in missing]
    rows: list[HistoryRow] = []
    problems: list[Problem] = []
    for row in table.rows:
        found = _round(table, mapping, row, order)
        if isinstance(found, Problem):
            problems.append(found)
        elif found is not None:
            rows.append(found)
    return rows, [*problems, *_twice(rows)]


def _twice(rows: Sequence[HistoryRow]) -> list[Problem]:
    """Rounds that the list holds two times, and that would count two times.

    Without numbers of rounds, two rounds of a day at one event are told apart by their ratings only."""
    first: dict[tuple[object, ...], int] = {}
    problems = []
    for row in rows:
        told_by = ("rating", row.past.rating) if row.number is None else ("round", row.number)
        place = (row.key, row.past.played_on, plain(row.past.name), told_by)
        if place in first:
            problem = f"the same round stands in row {first[place]} too"
            mend = (
                "take one of the two rows out; if they are two rounds, write their numbers in a column round"
            )
            problems.append(Problem(row.row, "", "", problem, mend))
        first.setdefault(place, row.row)
    return problems


def unclear_players(rows: Sequence[HistoryRow]) -> list[Problem]:
    """Rows of a list of several players that do not say, or contradict one another about, whose round they are."""
    named = [row for row in rows if row.key != ""]
    by_number: dict[int, HistoryRow] = {}
    numbered: dict[str, HistoryRow] = {}
    for row in named:
        if row.member is not None:
            by_number.setdefault(row.member, row)
            numbered.setdefault(plain(row.player), row)
    problems = []
    for row in rows:
        if named and row.key == "":
            problem, mend = (
                "does not say whose round it is, as other rows do",
                "write the member number or the name",
            )
            problems.append(Problem(row.row, "player", "", problem, mend))
        elif row.member is None and (other := numbered.get(plain(row.player))) is not None:
            problem = f"{row.player} has no member number here, and number {other.member} in row {other.row}"
            problems.append(
                Problem(row.row, "member number", "", problem, "write the member number in each row")
            )
        elif row.member is not None and _differ(row.player, by_number[row.member].player):
            other = by_number[row.member]
            problem = f"number {row.member} is {row.player} here, and {other.player} in row {other.row}"
            problems.append(
                Problem(
                    row.row,
                    "player",
                    row.player,
                    problem,
                    "correct the number or the name in one of the rows",
                )
            )
    return problems


def _differ(one: str, other: str) -> bool:
    return bool(one and other) and plain(one) != plain(other)


def _round(
    table: Table, mapping: Mapping[str, int | None], row: Row, order: DateOrder | None
) -> HistoryRow | Problem | None:
    if all(is_blank(each) for each in row.cells):
        return None
    readers: dict[str, Callable[[Cell], Any]] = {
        "date": lambda cell: _date(cell, order),
        "rating": rating,
        "member": member_number,
        "player": lambda cell: text(cell, longest=200) or "",
        "round": lambda cell: integer(cell, least=0, most=99),
        "event": lambda cell: text(cell, longest=120) or "",
    }
    values: dict[str, Any] = {}
    for key, reader in readers.items():
        index = mapping[key]
        cell = None if index is None else row.cells[index]
        try:
            values[key] = reader(cell)
        except BadValue as bad:
            column = table.column_name(index) if index is not None else key
            return Problem(row.number, column, shown(cell), bad.problem, bad.mend)
    number = values["round"]
    past = Past(values["date"], row.number if number is None else number, values["rating"], values["event"])
    return HistoryRow(row.number, values["member"], values["player"], past, number)


def _date(cell: Cell, order: DateOrder | None) -> day:
    found = date(cell, order=order)
    if found is None:
        raise BadValue(cell, "is blank", "write the day of the round, as 2026-05-30")
    return found
