"""The standings as the staff's page lists them: figures as words, places won and lost, the line of a cut (no query)."""

from collections.abc import Sequence
from typing import Any

from scoring.standings.cutting import CutResult, CutState
from scoring.standings.overall import Overall
from scoring.standings.queries import DivisionStandings
from scoring.standings.showing import round_cell, strip_of
from scoring.standings.wording import place_marked, total_text


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
                "level": bool(cut) and cut.state is not CutState.MADE and standing.key in cut.level,
            }
        )
    return rows


def cut_shown(division: DivisionStandings) -> CutResult | None:
    """The cut to draw a line for: the next one that is not made, else the last."""
    scored = [cut for cut in division.cuts if cut.line is not None]
    ahead = [cut for cut in scored if cut.state is not CutState.MADE]
    return next(iter([*ahead[:1], *scored[-1:]]), None)


def cut_words(cut: CutResult) -> str:
    """ "projected cut after round 2: 18 play on, 3 tied for 1 of the places"."""
    if cut.state is CutState.MADE:
        return f"cut after round {cut.after_round}: {len(cut.through)} play on"
    start = "projected cut" if cut.state is CutState.PROJECTED else "cut"
    level = f", {len(cut.level)} tied for {cut.places} of the places" if cut.level else ""
    return f"{start} after round {cut.after_round}: {cut.size} play on{level}"


def moved_text(moved: int | None) -> str:
    """Places won or lost: "↑2", "↓1", "" for none or not known."""
    if not moved:
        return ""
    return f"↑{moved}" if moved > 0 else f"↓{-moved}"


def moved_spoken(moved: int | None) -> str:
    """The same for a screen reader: "up 2", "down 1"."""
    if not moved:
        return ""
    return f"up {moved}" if moved > 0 else f"down {-moved}"


def decided_words(division: DivisionStandings) -> str:
    """ "Ludvik Moravec won the playoff for first place.", "" where no tie had to be broken."""
    first = [row for row in division.rows if row.standing.place == 1 and row.standing.decided]
    names = [row.standing.name for row in first]
    if not first:
        return ""
    if first[0].standing.decided == "co-winners":
        return f"Co-winners: {', '.join(names)}."
    return f"{names[0]} won the playoff for first place."


def overall_context(lists: Sequence[Overall], alone: Sequence[str]) -> dict[str, Any]:
    """What the page of all divisions shows; `alone` are codes that can be ranked with nobody else."""
    return {
        "lists": [
            {
                "codes": ", ".join(found.codes),
                "layouts": _layouts(found),
                "numbers": found.rounds,
                "rows": [
                    {
                        "entry_id": row.entry_id,
                        "division": row.division,
                        "town": row.town,
                        "standing": row.standing,
                        "place": place_marked(row.standing.place, tied=row.standing.tied),
                        "totals": [total_text(each.total) for each in row.standing.rounds],
                    }
                    for row in found.rows
                ],
            }
            for found in lists
        ],
        "alone": ", ".join(alone),
    }


def _layouts(found: Overall) -> str:
    """ "Upper in every round", "Upper, Short"."""
    names = list(dict.fromkeys(found.layouts))
    if len(names) == 1:
        return (
            names[0]
            if len(found.layouts) == 1
            else f"{names[0]} in rounds {found.rounds[0]} to {found.rounds[-1]}"
        )
    return ", ".join(
        f"{name} in round {number}" for number, name in zip(found.rounds, found.layouts, strict=True)
    )
