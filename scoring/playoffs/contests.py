"""The trophy of a shared place, decided by another contest than a playoff. The tie stands (1.09.E)."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division
from scoring.playoffs.claiming import PlayoffRefused, claim_division, refuse_second, tie_now
from scoring.playoffs.models import TrophyContest
from scoring.standings.models import AFTER_LAST_ROUND


@dataclass(frozen=True, slots=True)
class Held:
    """A contest as it was held: entry id of the winner, what they did, and who did how well."""

    winner: int
    what: str
    result: str = ""


@transaction.atomic
def write_contest(
    *, division: Division, trophy: int, held: Held, actor: Actor, now: datetime
) -> TrophyContest:
    """Write who won the trophy of place `trophy`. Raises PlayoffRefused where it is decided, where nobody is tied for
    it, for a winner who is not among those, and without a word on what was done."""
    division = claim_division(division)
    refuse_second(division, AFTER_LAST_ROUND, trophy)
    tie = tie_now(division, AFTER_LAST_ROUND, trophy)
    if tie is None:
        raise PlayoffRefused("Nobody is tied for this trophy, or one before it is open.")
    names = {row.entry_id: row.standing.name for row in tie.rows}
    if held.winner not in names:
        raise PlayoffRefused("Choose who won, among those who are tied.")
    if not held.what.strip():
        raise PlayoffRefused("Write what they did, as: three putts from 10 m.")
    contest = TrophyContest.objects.create(
        division=division,
        trophy=trophy,
        winner_id=held.winner,
        what=held.what.strip()[:200],
        result=held.result.strip()[:200],
        at=now,
        by=actor.name[:150],
    )
    detail = {
        "winner": held.winner,
        "players": sorted(names),
        "what": contest.what,
        "result": contest.result,
    }
    _log(Action.TROPHY_DECIDED, contest, actor, now, detail)
    return contest


@transaction.atomic
def take_contest_back(*, contest: TrophyContest, actor: Actor, now: datetime) -> None:
    """The trophy waits again; the contest stays to be read. Twice is once. Raises PlayoffRefused once the event is
    over."""
    division = claim_division(contest.division)
    contest = TrophyContest.objects.get(pk=contest.pk)
    contest.division = division
    if contest.taken_back_at is None:
        contest.taken_back_at, contest.taken_back_by = now, actor.name[:150]
        contest.save(update_fields=["taken_back_at", "taken_back_by"])
        _log(Action.TROPHY_UNDECIDED, contest, actor, now, {"winner": contest.winner_id})


def _log(
    action: Action, contest: TrophyContest, actor: Actor, now: datetime, detail: dict[str, object]
) -> None:
    record(
        chain=contest.division.event.slug,
        action=action,
        subject=str(contest),
        actor=actor,
        now=now,
        detail=detail,
    )
