"""What every act on a tie begins with: the lock, the tie as it stands, and what is refused before a word is written."""

from events.setup.models import Division
from events.setup.queries import is_over
from scoring.playoffs.models import Playoff, TrophyContest
from scoring.playoffs.outcomes import trophy_winners
from scoring.playoffs.ties import Tie, tie_for_trophy, tie_of
from scoring.standings.models import Placing
from scoring.standings.queries import standings


class PlayoffRefused(Exception):
    """It cannot be; the message is a sentence."""


def claim_division(division: Division) -> Division:
    """The division, locked. Raises PlayoffRefused once the event is over."""
    division = Division.objects.select_for_update(of=("self",)).select_related("event").get(pk=division.pk)
    if is_over(division.event):
        raise PlayoffRefused("The event is over: places stay as they are.")
    return division


def claim_playoff(playoff: Playoff) -> Playoff:
    """The playoff, with its division locked. Raises PlayoffRefused when it was dropped or the event is over."""
    claim_division(playoff.division)
    found = Playoff.objects.select_related("division__event").get(pk=playoff.pk)
    if found.dropped_at is not None:
        raise PlayoffRefused("This playoff was dropped.")
    shared = Placing.objects.filter(entry__in=found.players, how=Placing.How.CO_WINNERS)
    if not found.trophy and shared.exists():
        raise PlayoffRefused("Co-winners are named: take that back before the playoff goes on.")
    return found


def refuse_second(division: Division, after_round: int, trophy: int) -> None:
    """Raises PlayoffRefused for a tie that has its playoff or, for a trophy, its contest."""
    playoffs = Playoff.objects.filter(
        division=division, after_round=after_round, trophy=trophy, dropped_at=None
    )
    if playoffs.exists():
        raise PlayoffRefused("This tie has a playoff already: write its holes, or drop it with a reason.")
    contests = TrophyContest.objects.filter(division=division, trophy=trophy, taken_back_at=None)
    if trophy and contests.exists():
        raise PlayoffRefused("This trophy is decided by a contest already: take that back first.")


def tie_now(division: Division, after_round: int, trophy: int = 0) -> Tie | None:
    """The tie as it stands, None where nobody waits for a decision (12 queries, 2 more for a trophy)."""
    found = standings(division.event, divisions=[division.code])
    if not found:
        return None
    if not trophy:
        return tie_of(found[0], after_round)
    return tie_for_trophy(found[0], trophy, trophy_winners(division.event).get(division.code, {}))
