"""Co-winners: a tie for first place that is left standing, in the published exceptions only."""

from datetime import datetime

from django.db import models, transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division
from scoring.playoffs.claiming import PlayoffRefused, claim_division
from scoring.playoffs.models import Playoff
from scoring.playoffs.outcomes import outcome_of
from scoring.playoffs.ties import tie_of
from scoring.standings.models import AFTER_LAST_ROUND, Placing
from scoring.standings.queries import standings


class LeftStanding(models.TextChoices):
    """When a tie for first place may stand (Competition Manual 2025, 1.09.D)."""

    FLEX = "flex", "flex start, and a player who is tied has gone"
    DANGER = "danger", "danger or no daylight on the last day"


@transaction.atomic
def name_co_winners(
    *, division: Division, exception: str, reason: str, actor: Actor, now: datetime
) -> list[Placing]:
    """Everybody tied for first place is first; after a playoff that could not be ended, those who were still in it.

    Raises PlayoffRefused outside the exceptions, without a reason, and where nobody is tied."""
    division = claim_division(division)
    if exception not in LeftStanding.values:
        raise PlayoffRefused(
            "A tie for first place stands only after a flex start with a player gone, or for danger or darkness on the"
            " last day (Competition Manual 2025, 1.09.D): choose which."
        )
    if not reason.strip():
        raise PlayoffRefused("Write what happened: the reason is kept with the result.")
    found = standings(division.event, divisions=[division.code])
    tie = tie_of(found[0], AFTER_LAST_ROUND) if found else None
    if tie is None:
        raise PlayoffRefused(f"Nobody is tied for first place in {division}.")
    label = LeftStanding(exception).label
    why = f"{label}: {reason.strip()}"[:300]
    keys = sorted(row.entry_id for row in tie.rows)
    first = _still_in(division, keys)
    Placing.objects.filter(entry__in=keys, after_round=AFTER_LAST_ROUND).delete()
    rows = Placing.objects.bulk_create(
        Placing(
            entry_id=key,
            after_round=AFTER_LAST_ROUND,
            how=Placing.How.CO_WINNERS,
            rank=1 if key in first else 2,
            reason=why,
            at=now,
            by=actor.name[:150],
        )
        for key in keys
    )
    _log(Action.CO_WINNERS_NAMED, division, actor, now, sorted(first), why)
    return rows


@transaction.atomic
def undo_co_winners(*, division: Division, actor: Actor, now: datetime) -> None:
    """Let the tie wait for a playoff again."""
    division = claim_division(division)
    held = Placing.objects.filter(entry__division=division, how=Placing.How.CO_WINNERS)
    keys = sorted(held.values_list("entry_id", flat=True))
    if keys:
        held.delete()
        _log(Action.CO_WINNERS_UNDONE, division, actor, now, keys, "")


def _still_in(division: Division, keys: list[int]) -> set[int]:
    """Who of the tied was not out in a playoff that was begun among them; without one all."""
    playoff = Playoff.objects.filter(
        division=division, after_round=AFTER_LAST_ROUND, trophy=0, dropped_at=None
    ).first()
    if playoff is None or sorted(playoff.players) != keys:
        return set(keys)
    version = playoff.versions.order_by("number").last()
    return set(outcome_of(playoff, version).playing) if version else set(keys)


def _log(
    action: Action, division: Division, actor: Actor, now: datetime, keys: list[int], reason: str
) -> None:
    record(
        chain=division.event.slug,
        action=action,
        subject=f"{division}, first place",
        actor=actor,
        now=now,
        detail={"entries": keys},
        reason=reason,
    )
