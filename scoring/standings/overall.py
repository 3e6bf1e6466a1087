"""Standings over all divisions, only among players of the same layouts (no query)."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from scoring.standings.queries import DivisionRound, DivisionStandings, PlayerRound, Row
from scoring.standings.ranking import rank_division

OVERALL = "overall"  # asked for where else a division is named by its code

# What a player played so far: number of the round, layout, and the holes that alone count of it.
Played = tuple[tuple[int, int | None, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Overall:
    """Players of several divisions who played the same layouts in the same rounds, ranked together: `codes` are the
    divisions, and `list` is shown as one division is, of everybody's rounds begun. Each standing names its division."""

    codes: tuple[str, ...]
    list: DivisionStandings


def overall_of(divisions: Sequence[DivisionStandings]) -> tuple[tuple[Overall, ...], tuple[str, ...]]:
    """The lists, the largest first, and the codes of divisions of which nobody can be ranked with another division.

    Places of a cut and of a tie that was played off hold within the divisions: here who does not play on stands after
    who does, and ties stand.
    """
    latest, several = _together(divisions)
    several.sort(key=lambda members: (-len(members), _codes(divisions, members)))
    lists = tuple(
        _ranked(divisions, members, latest, OVERALL if number == 1 else f"{OVERALL} {number}")
        for number, members in enumerate(several, start=1)
    )
    together = {code for each in lists for code in each.codes}
    return lists, tuple(each.code for each in divisions if each.code not in together)


def any_overall(divisions: Sequence[DivisionStandings]) -> bool:
    """Whether `overall_of` has a list; far cheaper than the list."""
    return bool(_together(divisions)[1])


def _together(divisions: Sequence[DivisionStandings]) -> tuple[int, list[list[Row]]]:
    """The latest round with a score, and those who played the same up to it, where they are of several divisions."""
    rows = [row for division in divisions for row in division.rows]
    latest = max((line.round for row in rows for line in row.line.rounds if line.begun), default=0)
    alike: dict[Played, list[Row]] = defaultdict(list)
    for row in rows if latest else ():
        alike[_played(row.rounds, latest)].append(row)
    return latest, [
        members for members in alike.values() if len({row.standing.division for row in members}) > 1
    ]


def _played(rounds: Iterable[PlayerRound], latest: int) -> Played:
    return tuple(
        (each.number, each.layout.id if each.layout else None, tuple(sorted(each.common or ())))
        for each in rounds
        if each.number <= latest
    )


def _codes(divisions: Sequence[DivisionStandings], members: Iterable[Row]) -> tuple[str, ...]:
    codes = {row.standing.division for row in members}
    return tuple(each.code for each in divisions if each.code in codes)


def _ranked(divisions: Sequence[DivisionStandings], members: Sequence[Row], latest: int, key: str) -> Overall:
    """The rows of everybody as their divisions rank them, after their cuts, with the places that they have together."""
    own = {row.standing.key: row for row in members}
    lines = [
        replace(row.line, rounds=tuple(each for each in row.line.rounds if each.round <= latest))
        for row in members
    ]
    rows = tuple(
        replace(
            own[each.key],
            standing=each,
            rounds=tuple(played for played in own[each.key].rounds if played.number <= latest),
            moved=None,
        )
        for each in rank_division(lines)
    )
    codes = _codes(divisions, members)
    counted = {each.number: each.layout for each in rows[0].rounds}
    numbers = {each.number for one in divisions if one.code in codes for each in one.rounds}
    rounds = tuple(DivisionRound(number, counted.get(number), number <= latest) for number in sorted(numbers))
    return Overall(codes, DivisionStandings(key, ", ".join(codes), rounds, rows))
