"""A method that was chosen goes along when rounds are joined, parted or split: a choice never ends without a word."""

from collections.abc import Sequence
from datetime import datetime

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event
from scoring.ratings.compression import to_places
from scoring.ratings.decided import decisions_of
from scoring.ratings.models import MethodDecision
from scoring.ratings.queries import PoolRating, ratings_of
from scoring.ratings.refusal import RatingRefused
from scoring.ratings.round_rating import Said, Wanted

_Chosen = tuple[Wanted, Said] | None  # None: as the rulebook says


def carry_methods(event: Event, before: Sequence[PoolRating], *, actor: Actor, now: datetime) -> None:
    """Give each pool that there was not before the method of those that its rounds come from.

    Raises RatingRefused where they have different ones; a choice that was once made for the same pool does not wake.
    """
    methods = decisions_of(event).methods
    keys = {pool.key for pool in before}
    for pool in ratings_of(event):
        sources = [old for old in before if old.members.keys() & pool.members.keys()]
        if pool.key in keys or not sources:
            continue
        chosen = [methods.get(old.key) for old in sources]
        if len({each[0] if each else None for each in chosen}) > 1:
            raise RatingRefused(_different(sources, chosen))
        _write(event, pool, chosen[0], methods.get(pool.key), actor, now)


def _different(sources: Sequence[PoolRating], chosen: Sequence[_Chosen]) -> str:
    each = "; ".join(f"{old.title}: {_words(wanted)}" for old, wanted in zip(sources, chosen, strict=True))
    return f"Different methods are chosen ({each}). Choose the same for each of them first."


def _words(chosen: _Chosen) -> str:
    if chosen is None:
        return str(MethodDecision.Method.RULEBOOK.label)
    wanted = chosen[0]
    words = str(MethodDecision.Method(wanted.choice.value).label)
    return words if wanted.ssa is None else f"{words}, {to_places(wanted.ssa, 3)}"


def _write(
    event: Event, pool: PoolRating, chosen: _Chosen, held: _Chosen, actor: Actor, now: datetime
) -> None:
    """A row of its own for the new pool; nothing where it says so already."""
    if (chosen[0] if chosen else None) == (held[0] if held else None):
        return
    wanted = chosen[0] if chosen else None
    method = MethodDecision.Method(wanted.choice.value) if wanted else MethodDecision.Method.RULEBOOK
    row = MethodDecision.objects.create(
        event=event,
        pool=pool.key,
        method=method,
        ssa=None if wanted is None or wanted.ssa is None else to_places(wanted.ssa, 3),
        reason=chosen[1].reason if chosen else "",
        at=now,
        by=actor.name[:150],
    )
    detail = {"method": str(method), "carried": True, **({"ssa": str(row.ssa)} if row.ssa else {})}
    record(
        chain=event.slug,
        action=Action.RATING_METHOD,
        subject=pool.title,
        actor=actor,
        now=now,
        detail=detail,
        reason=row.reason,
    )
