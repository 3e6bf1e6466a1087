"""Standings over all divisions, only among players of the same layouts (no query)."""

from collections import defaultdict
from dataclasses import dataclass, replace

from events.entries.models import Entry
from scoring.standings.deciding import decided_of, rules_of
from scoring.standings.going_on import after_cuts
from scoring.standings.lines import players_of
from scoring.standings.loading import Facts
from scoring.standings.queries import division_rounds, latest_of
from scoring.standings.ranking import PlayerLine, Standing, rank_division

# What a player played so far: number of the round, layout, and the holes that alone count of it.
Played = tuple[tuple[int, int | None, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class OverallRow:
    entry_id: int
    division: str
    town: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class Overall:
    """Players of several divisions who played the same layouts in the same rounds, ranked together; `layouts` are
    their names by round, `rounds` the numbers."""

    codes: tuple[str, ...]
    rounds: tuple[int, ...]
    layouts: tuple[str, ...]
    rows: tuple[OverallRow, ...]


def overall_of(facts: Facts) -> tuple[list[Overall], tuple[str, ...]]:
    """The lists, the largest first, and the codes of divisions of which nobody can be ranked with another division.

    Places of a cut and of a tie that was played off hold within the divisions: here who does not play on stands after
    who does, and ties stand.
    """
    entries = {str(entry.pk): entry for entry in facts.entries}
    lines = _lines(facts)
    latest = max((each.round for line in lines for each in line.rounds if each.begun), default=0)
    alike: dict[Played, list[PlayerLine]] = defaultdict(list)
    for line in lines:
        rounds = tuple(each for each in line.rounds if each.round <= latest)
        alike[_played(facts, entries[line.key], latest)].append(replace(line, rounds=rounds))
    found = [
        _list(facts, played, members, entries)
        for played, members in alike.items()
        if latest and len({member.division for member in members}) > 1
    ]
    together = {code for each in found for code in each.codes}
    codes = dict.fromkeys(line.division for line in lines)
    alone = tuple(code for code in codes if code not in together)
    return sorted(found, key=lambda each: (-len(each.rows), each.codes, each.layouts)), alone


def _lines(facts: Facts) -> list[PlayerLine]:
    """Everybody as their division ranks them, after its cuts."""
    found: list[PlayerLine] = []
    for division in facts.divisions:
        members = [entry for entry in facts.entries if entry.division_id == division.pk]
        players = players_of(facts, latest_of(division_rounds(facts, division, members)), members)
        found += after_cuts(players, rules_of(facts, division.pk), decided_of(facts, members))[0]
    return found


def _played(facts: Facts, entry: Entry, latest: int) -> Played:
    found = []
    for round in facts.rounds_of(entry.division_id):
        if round.number <= latest:
            layout = facts.layout_for(round.pk, entry)
            common = facts.common_of(round.pk, entry)
            found.append((round.number, layout.id if layout else None, tuple(sorted(common or ()))))
    return tuple(found)


def _list(facts: Facts, played: Played, members: list[PlayerLine], entries: dict[str, Entry]) -> Overall:
    standings = rank_division(members)
    order = [division.code for division in facts.divisions]
    codes = {member.division for member in members}
    return Overall(
        codes=tuple(code for code in order if code in codes),
        rounds=tuple(number for number, _, _ in played),
        layouts=tuple(facts.layouts[layout].name if layout else "no layout" for _, layout, _ in played),
        rows=tuple(
            OverallRow(entries[each.key].pk, each.division, entries[each.key].person.town, each)
            for each in standings
        ),
    )
