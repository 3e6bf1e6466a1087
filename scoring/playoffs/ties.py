"""Who is tied where a playoff decides: for first place, or at a cut (no query)."""

from dataclasses import dataclass

from scoring.standings.cutting import CutState
from scoring.standings.models import AFTER_LAST_ROUND
from scoring.standings.queries import DivisionStandings, Row


@dataclass(frozen=True, slots=True)
class Tie:
    """Players who are equal, for so many places. `after_round` is 0 for first place; `layout` is the id of the layout
    of the last round, on which a playoff is played (Competition Manual 2025, 1.09.B.3), None while none is chosen."""

    after_round: int
    places: int
    rows: tuple[Row, ...]
    layout: int | None

    @property
    def what(self) -> str:
        if self.after_round:
            places = "1 place" if self.places == 1 else f"{self.places} places"
            return f"{places} in the cut after round {self.after_round}"
        return "first place"


def ties_in(division: DivisionStandings) -> list[Tie]:
    """Every tie of a division that waits for a playoff: cuts by round, then first place."""
    open_cuts = [cut.after_round for cut in division.cuts if cut.state is CutState.TIED]
    found = [tie_of(division, number) for number in (*open_cuts, AFTER_LAST_ROUND)]
    return [tie for tie in found if tie is not None]


def tie_of(division: DivisionStandings, after_round: int) -> Tie | None:
    """The tie for first place (0) or at the cut after a round; None where nobody waits for a decision."""
    if after_round == AFTER_LAST_ROUND:
        rows = tied_for_first(division)
        return Tie(after_round, 1, tuple(rows), _layout(division, None)) if rows else None
    for cut in division.cuts:
        if cut.after_round == after_round and cut.state is CutState.TIED:
            rows = [row for row in division.rows if row.standing.key in cut.level]
            return Tie(after_round, cut.places, tuple(rows), _layout(division, after_round))
    return None


def tied_for_first(division: DivisionStandings) -> list[Row]:
    """Who must play off for first place: equal at the top, every card in, nothing decided."""
    if not division.finished:
        return []
    first = [row for row in division.rows if row.standing.place == 1]
    return first if len(first) > 1 and not first[0].standing.decided else []


def _layout(division: DivisionStandings, number: int | None) -> int | None:
    rounds = [each for each in division.rounds if number is None or each.number == number]
    layout = rounds[-1].layout if rounds else None
    return layout.id if layout is not None else None
