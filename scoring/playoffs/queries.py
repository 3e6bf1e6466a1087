"""Final places for prizes and closing, and the ties that still wait for a decision."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from events.setup.models import Event
from scoring.playoffs.ties import tied_for_first
from scoring.standings.cutting import CutResult, CutState
from scoring.standings.queries import DivisionStandings, standings


@dataclass(frozen=True, slots=True)
class Placed:
    """One player with a place. `tied_with`: how many others share it. `decided`: what broke a tie for first place
    ("playoff", "co-winners"), "" where nothing had to. `made_cut` is None without a cut."""

    entry_id: int
    name: str
    place: int
    tied_with: int
    decided: str
    to_par: int | None
    total: int | None
    made_cut: bool | None


def final_places(event: Event) -> dict[str, list[Placed]]:
    """Division code → everybody with a place, best first, as it stands now (12 queries).

    Who did not finish, was disqualified or lacks a card has no place and is not in it.
    """
    return places_of(standings(event))


def places_of(divisions: Iterable[DivisionStandings]) -> dict[str, list[Placed]]:
    """As `final_places`, from standings that were read already (no query)."""
    return {division.code: _placed(division) for division in divisions}


def _placed(division: DivisionStandings) -> list[Placed]:
    sharing = Counter(row.standing.place for row in division.rows)
    return [
        Placed(
            entry_id=row.entry_id,
            name=row.standing.name,
            place=row.standing.place,
            tied_with=sharing[row.standing.place] - 1,
            decided=row.standing.decided,
            to_par=row.standing.to_par,
            total=row.standing.total,
            made_cut=row.standing.made_cut,
        )
        for row in division.rows
        if row.standing.place is not None
    ]


def open_ties(event: Event) -> list[str]:
    """A sentence for each tie for first place that was not played off, and for each cut that is not decided
    (12 queries). Ties for other places are final (Competition Manual 2025, 1.09.E)."""
    return ties_of(standings(event))


def ties_of(divisions: Iterable[DivisionStandings]) -> list[str]:
    """As `open_ties`, from standings that were read already (no query)."""
    said: list[str] = []
    for division in divisions:
        said += [_cut_sentence(division, cut) for cut in division.cuts if cut.state is CutState.TIED]
        tied = tied_for_first(division)
        if tied:
            names = listed([row.standing.name for row in tied])
            said.append(f"{division.code}: {names} are tied for first place; a playoff decides (1.09.B).")
    return said


def _cut_sentence(division: DivisionStandings, cut: CutResult) -> str:
    names = listed([row.standing.name for row in division.rows if row.standing.key in cut.level])
    places = "1 place" if cut.places == 1 else f"{cut.places} places"
    return (
        f"{division.code}, cut after round {cut.after_round}: {names} are tied for {places};"
        " a playoff decides who goes on (1.08.B)."
    )


def listed(names: list[str]) -> str:
    """ "A", "A and B", "A, B and C"."""
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))
