"""Who does not play a round because of a cut before it, for the draw."""

from collections.abc import Iterable

from events.setup.models import Round
from scoring.standings.cutting import CutState
from scoring.standings.going_on import DECLINED
from scoring.standings.models import Cut
from scoring.standings.queries import DivisionStandings, standings


def out_before(round: Round) -> tuple[dict[int, str], tuple[str, ...]]:
    """Entry id → why ("missed the cut"), and a sentence for each cut that is not decided yet: then everybody of the
    division is still in (1 query, 12 more with a cut before the round; none for the first round)."""
    if round.number == 1:
        return {}, ()
    if not Cut.objects.filter(division__event=round.event_id, after_round__lt=round.number).exists():
        return {}, ()
    found = standings(round.event, through_round=round.number - 1)
    return _out(found), tuple(_waiting(found))


def _out(found: Iterable[DivisionStandings]) -> dict[int, str]:
    return {
        row.entry_id: row.standing.words
        for division in found
        for row in division.rows
        if row.standing.made_cut is False or row.standing.words == DECLINED
    }


def _waiting(found: Iterable[DivisionStandings]) -> Iterable[str]:
    for division in found:
        for cut in division.cuts:
            if cut.state is CutState.MADE:
                continue
            why = "cards are missing"
            if cut.state is CutState.TIED:
                why = f"{len(cut.level)} players are tied for {cut.places} of the places"
            yield (
                f"{division.code}: the cut after round {cut.after_round} is not decided ({why}),"
                " so everybody of the division is drawn."
            )
