"""The standings as a phone shows them: one list, each player with the strips of every round (no query)."""

from collections.abc import Sequence
from dataclasses import dataclass

from players.names import fold
from scoring.standings.queries import DivisionStandings
from scoring.standings.showing import RoundCell, ShownRow, division_list, round_cell


@dataclass(frozen=True, slots=True)
class PhoneRow:
    """`find` is what a search is matched against: the name without accents, in small letters."""

    shown: ShownRow
    rounds: tuple[RoundCell, ...]
    find: str
    line: str


@dataclass(frozen=True, slots=True)
class PhoneDivision:
    code: str
    name: str
    sub: str
    rows: tuple[PhoneRow, ...]


def phone_divisions(
    divisions: Sequence[DivisionStandings], *, show_town: bool, wanted: str = ""
) -> list[PhoneDivision]:
    """Every division with its players; with `wanted` (folded) only those whose name has it."""
    found = []
    for division in divisions:
        shown = division_list(division, show_town=show_town)
        rows = tuple(
            _row(row, tuple(round_cell(each) for each in source.rounds if each.result.played))
            for row, source in zip(shown.rows, division.rows, strict=True)
            if wanted in fold(row.name)
        )
        if rows:
            found.append(PhoneDivision(shown.code, shown.name, shown.sub, rows))
    return found


def _row(row: ShownRow, rounds: tuple[RoundCell, ...]) -> PhoneRow:
    where = row.words or (row.holes if row.holes == "done" else f"through {row.holes}")
    line = " · ".join(part for part in (where, row.town) if part)
    return PhoneRow(row, rounds, fold(row.name), line)
