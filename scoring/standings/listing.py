"""The standings as the staff's page lists them: figures as words, places won and lost, the line of a cut (no query)."""

from collections.abc import Sequence
from typing import Any

from scoring.standings.cutting import CutState
from scoring.standings.marks import cut_shown, cut_words, moved_spoken, moved_text
from scoring.standings.overall import Overall
from scoring.standings.queries import DivisionStandings, Row
from scoring.standings.showing import round_cell
from scoring.standings.strip_drawn import strip_of
from scoring.standings.wording import open_text, place_marked, total_text


def rows_shown(division: DivisionStandings) -> list[dict[str, Any]]:
    """Rows with the strip of the latest round that each player has begun; `line` stands above the first row that is
    outside of a cut."""
    rows = []
    cut = cut_shown(division)
    inside = cut.through | cut.level if cut else frozenset()
    drawn = False
    for row in division.rows:
        begun = [each for each in row.rounds if each.result.played]
        standing = row.standing
        line = cut_words(cut) if cut and not drawn and standing.key not in inside else ""
        drawn = drawn or bool(line)
        rows.append(
            {
                "entry_id": row.entry_id,
                "standing": standing,
                "place": place_marked(standing.place, tied=standing.tied),
                "town": row.town,
                "moved": moved_text(row.moved),
                "moved_spoken": moved_spoken(row.moved),
                "rounds": [round_cell(each) for each in row.rounds],
                "strip": strip_of(begun[-1]) if begun else None,
                "line": line,
                "open": open_words(row),
                "level": cut is not None and cut.state is not CutState.MADE and standing.key in cut.level,
            }
        )
    return rows


def overall_context(lists: Sequence[Overall], alone: Sequence[str]) -> dict[str, Any]:
    """What the page of all divisions shows; `alone` are codes that can be ranked with nobody else."""
    return {
        "lists": [
            {
                "codes": found.list.name,
                "layouts": layouts_words(found),
                "numbers": [each.number for each in found.list.rounds if each.begun],
                "rows": [
                    {
                        "entry_id": row.entry_id,
                        "division": row.standing.division,
                        "town": row.town,
                        "standing": row.standing,
                        "place": place_marked(row.standing.place, tied=row.standing.tied),
                        "totals": [total_text(each.total) for each in row.standing.rounds],
                        "open": open_words(row),
                    }
                    for row in found.list.rows
                ],
            }
            for found in lists
        ],
        "alone": ", ".join(alone),
    }


def open_words(row: Row) -> str:
    """What is to be decided of a player's cards, by round: "R2: hole 7 to be decided"."""
    return "; ".join(
        f"R{each.number}: {open_text(each.open.holes, card=each.open.card)}"
        for each in row.rounds
        if each.open is not None
    )


def layouts_words(found: Overall) -> str:
    """ "Upper in rounds 1 to 3", "Upper in round 1, Short in round 2"."""
    named = [
        (each.number, each.layout.name if each.layout else "no layout")
        for each in found.list.rounds
        if each.begun
    ]
    names = {name for _, name in named}
    if len(names) == 1:
        (name,) = names
        return name if len(named) == 1 else f"{name} in rounds {named[0][0]} to {named[-1][0]}"
    return ", ".join(f"{name} in round {number}" for number, name in named)
