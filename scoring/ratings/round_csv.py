"""A table of one round for `manage.py rate_round`: player, rating, score, and what is known of the ratings. Pure."""

from collections.abc import Callable, Mapping
from typing import Any

from events.sheets.bad import BadValue
from events.sheets.cells import Cell, is_blank, plain, shown
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.numbers import integer
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table
from events.sheets.values import date, rating, text
from scoring.ratings.propagators import Finish, Played

FIELDS = (
    Field("player", "player", ("name", "full name", "competitor"), required=True),
    Field("rating", "rating", ("player rating", "current rating"), "rating", required=True),
    Field("score", "score", ("throws", "total", "round score", "strokes"), "figure", required=True),
    Field("rated_rounds", "rated_rounds", ("rated rounds", "number of rated rounds"), "figure"),
    Field("rating_date", "rating_date", ("rating date", "date of rating", "effective"), "date"),
)
EXPECTED = vocabulary(FIELDS)
MOST_THROWS = 400  # of a round; only figures that cannot be are refused
MOST_ROUNDS = 5000
UNFINISHED = ("dnf", "did not finish", "x", "wd", "999", "888")


def read_round(table: Table) -> tuple[list[Played], frozenset[str], list[Problem]]:
    """Every player that can be read, the columns that the table has, and every problem with its row, column and mend.

    Nobody stands in it twice. A blank score, and the words and codes for a round that was not finished, are no score.
    """
    mapping = guess(table.headings, [row.cells for row in table.rows[:60]], FIELDS)
    missing = [field.key for field in FIELDS if field.required and mapping[field.key] is None]
    if missing:
        return [], frozenset(), [no_column(table, key) for key in missing]
    players: list[Played] = []
    problems: list[Problem] = []
    rows: dict[str, int] = {}  # name, as plain text → the row in which it stands first
    for row in table.rows:
        found = _player(table, mapping, row)
        if isinstance(found, Problem):
            problems.append(found)
        elif found is not None:
            problems += _twice(table, mapping, row, found, rows)
            rows.setdefault(plain(found.name), row.number)
            players.append(found)
    problems.sort(key=lambda problem: problem.row or 0)
    return players, frozenset(key for key, at in mapping.items() if at is not None), problems


def _twice(
    table: Table, mapping: Mapping[str, int | None], row: Row, found: Played, rows: Mapping[str, int]
) -> list[Problem]:
    """A player who would be rated, and count as a propagator, two times."""
    first = rows.get(plain(found.name))
    if first is None:
        return []
    index = mapping["player"]
    assert index is not None
    mend = "take one of the two rows out, or write beside the name what tells two people apart"
    return [
        Problem(
            row.number, table.column_name(index), found.name, f"{found.name} stands in row {first} too", mend
        )
    ]


def no_column(table: Table, key: str) -> Problem:
    """A required column that no heading names."""
    held = ", ".join(filter(None, table.headings)) or "none"
    return Problem(
        table.header_row,
        key,
        "",
        f"no column is headed “{key}”",
        f"give one of the columns this heading; those read are: {held}",
    )


def _player(table: Table, mapping: Mapping[str, int | None], row: Row) -> Played | Problem | None:
    if all(is_blank(each) for each in row.cells):
        return None
    readers: dict[str, Callable[[Cell], Any]] = {
        "player": _name,
        "rating": rating,
        "score": _score,
        "rated_rounds": lambda cell: integer(cell, least=0, most=MOST_ROUNDS),
        "rating_date": date,
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
    finished = values["score"] is not None
    return Played(
        key=str(row.number),
        name=values["player"],
        score=values["score"],
        rating=values["rating"],
        rated_rounds=values["rated_rounds"],
        rating_date=values["rating_date"],
        finish=Finish.FINISHED if finished else Finish.NOT_FINISHED,
    )


def _name(cell: Cell) -> str:
    name = text(cell, longest=200)
    if not name:
        raise BadValue(cell, "is blank", "write the player's name, or take the row out")
    return name


def _score(cell: Cell) -> int | None:
    if is_blank(cell) or shown(cell).strip().casefold() in UNFINISHED:
        return None
    return integer(cell, least=1, most=MOST_THROWS)
