"""Who is tied where a playoff decides: for first place, at a cut, or for a trophy (no query)."""

from collections.abc import Mapping
from dataclasses import dataclass

from scoring.playoffs.trophies import Sharing, sharing
from scoring.standings.cutting import CutState
from scoring.standings.models import AFTER_LAST_ROUND
from scoring.standings.queries import DivisionStandings, Row


@dataclass(frozen=True, slots=True)
class Tie:
    """Players who are equal, for so many places. `after_round` is 0 after the last round; `layout` is the id of the
    layout of the last round, on which a playoff is played (Competition Manual 2025, 1.09.B.3), None while none is
    chosen. `trophy`: the place whose trophy is at stake alone, 0 where the place itself is."""

    after_round: int
    places: int
    rows: tuple[Row, ...]
    layout: int | None
    trophy: int = 0

    @property
    def what(self) -> str:
        if self.trophy:
            return f"the trophy of place {self.trophy}"
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


@dataclass(frozen=True, slots=True)
class SharedPlace:
    """A place below first that several share at the end, and what was decided about its trophies."""

    place: int
    rows: tuple[Row, ...]
    trophies: Sharing


def shared_places(division: DivisionStandings, winners: Mapping[int, int]) -> list[SharedPlace]:
    """Ties that stand, best place first; none while cards are out. `winners`: trophy → entry id."""
    if not division.finished:
        return []
    sharing_it: dict[int, list[Row]] = {}
    for row in division.rows:
        if row.standing.place is not None and row.standing.place > 1:
            sharing_it.setdefault(row.standing.place, []).append(row)
    return [
        SharedPlace(place, tuple(rows), sharing(place, [row.entry_id for row in rows], winners))
        for place, rows in sorted(sharing_it.items())
        if len(rows) > 1
    ]


def tie_for_trophy(division: DivisionStandings, trophy: int, winners: Mapping[int, int]) -> Tie | None:
    """Who may play for this trophy; None where nobody who is tied waits for it, or one before it is still open."""
    earlier = {number: player for number, player in winners.items() if number < trophy}
    for shared in shared_places(division, earlier):
        if shared.trophies.following == trophy:
            rows = tuple(row for row in shared.rows if row.entry_id in shared.trophies.left)
            return Tie(AFTER_LAST_ROUND, 1, rows, _layout(division, None), trophy)
    return None


def _layout(division: DivisionStandings, number: int | None) -> int | None:
    rounds = [each for each in division.rounds if number is None or each.number == number]
    layout = rounds[-1].layout if rounds else None
    return layout.id if layout is not None else None
