"""The standings as a phone shows them: one list, each player with the strips of every round (no query)."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from players.names import fold
from scoring.standings.queries import DivisionStandings
from scoring.standings.showing import RoundCell, ShownDivision, ShownRow, division_list, round_cell

WHOLE = 120  # so many players stand in one list; a larger field is shown one division at a time
MOST_FOLLOWED = 60


@dataclass(frozen=True, slots=True)
class PhoneRow:
    """`find` is what a search is matched against: the name without accents, in small letters."""

    shown: ShownRow
    rounds: tuple[RoundCell, ...]
    find: str
    line: str
    division: str


@dataclass(frozen=True, slots=True)
class PhoneDivision:
    """`mixed`: its players are of several divisions; `left_out`: how many more there are than it shows."""

    code: str
    name: str
    sub: str
    rows: tuple[PhoneRow, ...]
    mixed: bool = False
    left_out: int = 0


def phone_division(division: DivisionStandings, *, show_town: bool, wanted: str = "") -> PhoneDivision:
    """A division with its players; with `wanted` (folded) only those whose name has it."""
    return _listed(division, division_list(division, show_town=show_town), wanted)


def phone_overall(found: DivisionStandings, *, show_town: bool) -> PhoneDivision:
    """Several divisions together; of a large field the first alone, since the others are found by name."""
    shown = division_list(found, show_town=show_town, most=WHOLE)
    return replace(_listed(found, shown, ""), mixed=True, left_out=max(0, len(found.rows) - WHOLE))


def _listed(division: DivisionStandings, shown: ShownDivision, wanted: str) -> PhoneDivision:
    rows = tuple(
        _row(row, tuple(round_cell(each) for each in source.rounds if each.result.played), division.code)
        for row, source in zip(shown.rows, division.rows, strict=False)  # the first of a large field
        if wanted in fold(row.name)
    )
    return PhoneDivision(shown.code, shown.name, shown.sub, rows)


def found_in(divisions: Sequence[DivisionStandings], *, show_town: bool, q: str) -> list[PhoneDivision]:
    """The divisions that have a player of that name, with those players alone."""
    wanted = fold(q)
    holding = [each for each in divisions if any(wanted in fold(row.standing.name) for row in each.rows)]
    return [phone_division(each, show_town=show_town, wanted=wanted) for each in holding]


def followed_in(
    divisions: Sequence[DivisionStandings], *, show_town: bool, ids: Collection[int]
) -> tuple[PhoneRow, ...]:
    """The players with these entries, in the order of the standings; who is not in them any more is left out."""
    holding = [each for each in divisions if any(row.entry_id in ids for row in each.rows)]
    rows = (row for each in holding for row in phone_division(each, show_town=show_town).rows)
    return tuple(row for row in rows if row.shown.entry_id in ids)


def chosen(divisions: Sequence[DivisionStandings], code: str) -> tuple[DivisionStandings, ...]:
    """The divisions that are shown at once: all of a small field, else the one asked for or the first."""
    if sum(len(each.rows) for each in divisions) <= WHOLE:
        return tuple(divisions)
    return tuple([each for each in divisions if each.code == code][:1] or divisions[:1])


def _row(row: ShownRow, rounds: tuple[RoundCell, ...], division: str) -> PhoneRow:
    where = row.words or (row.holes if row.holes == "done" else f"through {row.holes}")
    line = " · ".join(part for part in (row.note, where, row.open, row.moved_spoken, row.town) if part)
    return PhoneRow(row, rounds, fold(row.name), line, row.division or division)
