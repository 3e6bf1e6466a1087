"""What marks a row or a line of the standings besides its figures: places won and lost, a cut, what broke a tie.

For the staff's page and the public ones alike (no query).
"""

from scoring.standings.cutting import CutResult, CutState
from scoring.standings.queries import DivisionStandings


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
