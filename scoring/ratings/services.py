"""The director's decisions about ratings. Each is a new row, logged, with its reason; none touches a score."""

from collections.abc import Mapping, Sequence
from datetime import datetime, time
from decimal import Decimal

from django.db import transaction

from events.course.models import Layout
from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from scoring.ratings.models import Exclusion, JoinDecision, MethodDecision, SplitDecision
from scoring.ratings.queries import PoolRating, compare, differ_words, ratings_of

LOWEST_SSA, HIGHEST_SSA = Decimal(18), Decimal(200)  # throws a round; only figures that cannot be are refused


class RatingRefused(Exception):
    """The decision cannot be; the message is a sentence."""


@transaction.atomic
def choose_method(
    *,
    event: Event,
    pool: str,
    method: MethodDecision.Method,
    ssa: Decimal | None,
    reason: str,
    actor: Actor,
    now: datetime,
) -> MethodDecision:
    """How one pool is rated from now on. `ssa` in throws over the pool's holes, for the fixed average alone.

    Raises RatingRefused for a pool that there is not, and for a fixed average without its throws.
    """
    event = _locked(event)
    title = _pool(event, pool).title
    fixed = method == MethodDecision.Method.FIXED
    if fixed and (ssa is None or not LOWEST_SSA <= ssa <= HIGHEST_SSA):
        raise RatingRefused(
            f"A fixed average needs its throws for the round, {LOWEST_SSA} to {HIGHEST_SSA}: type it as 58.4."
        )
    row = MethodDecision.objects.create(
        event=event,
        pool=pool,
        method=method,
        ssa=ssa.quantize(Decimal("0.001")) if fixed and ssa is not None else None,
        reason=reason[:200],
        at=now,
        by=actor.name[:150],
    )
    detail = {"method": str(method), **({"ssa": str(row.ssa)} if fixed else {})}
    _log(event, Action.RATING_METHOD, title, detail, reason, actor, now)
    return row


@transaction.atomic
def join_rounds(
    *, event: Event, layout: Layout, rounds: Sequence[int], reason: str, actor: Actor, now: datetime
) -> JoinDecision:
    """Let rounds of one layout share an average, with what the test of their difference says now; none: part them.

    Raises RatingRefused for fewer than two rounds, for a round that was not played on this layout, and for one
    that is split by conditions.
    """
    event = _locked(event)
    numbers = sorted(set(rounds))
    test = ""
    if numbers:
        pools = [pool for pool in ratings_of(event) if pool.layout.id == layout.pk]
        played = {number for pool in pools for number in pool.rounds}
        if len(numbers) < 2 or not set(numbers) <= played:
            raise RatingRefused(f"Choose at least two rounds that were played on {layout.name}.")
        if any(pool.conditions and set(pool.rounds) & set(numbers) for pool in pools):
            raise RatingRefused(
                "A round that is rated in parts cannot share an average: join its parts first."
            )
        labels = tuple(hole.label for pool in pools[:1] for hole in pool.layout.holes)
        test = differ_words(compare(pools, layout.pk, labels, numbers), rulebook_for(event))
    row = JoinDecision.objects.create(
        layout=layout, rounds=numbers, test=test, reason=reason[:200], at=now, by=actor.name[:150]
    )
    _log(event, Action.RATING_JOINED, layout.name, {"rounds": numbers, "test": test}, reason, actor, now)
    return row


@transaction.atomic
def split_round(
    *, round: Round, layout: Layout, starts: Sequence[time], reason: str, actor: Actor, now: datetime
) -> SplitDecision:
    """Rate starts from each of these local times on apart, since conditions were others; none: rate them together.

    Raises RatingRefused for a part that nobody started in, and for a round that shares its average with another.
    """
    event = _locked(round.event)
    times = sorted(set(starts))
    if times:
        pools = [
            pool for pool in ratings_of(event) if pool.layout.id == layout.pk and round.number in pool.rounds
        ]
        if not pools:
            raise RatingRefused(f"Nobody has a complete card of round {round.number} on {layout.name}.")
        if any(len(pool.rounds) > 1 for pool in pools):
            raise RatingRefused("This round shares its average with another: part the rounds first.")
        held = sorted({start for pool in pools for start in pool.starts})
        bounds = [time.min, *times]
        for at, low in enumerate(bounds):
            high = bounds[at + 1] if at + 1 < len(bounds) else None
            if not any(start >= low and (high is None or start < high) for start in held):
                shown = ", ".join(f"{start:%H:%M}" for start in held) or "none is known"
                raise RatingRefused(f"Nobody would be left in one of the parts; starts are: {shown}.")
    row = SplitDecision.objects.create(
        round=round,
        layout=layout,
        starts=[f"{each:%H:%M}" for each in times],
        reason=reason[:200],
        at=now,
        by=actor.name[:150],
    )
    subject = f"round {round.number}, {layout.name}"
    _log(event, Action.RATING_SPLIT, subject, {"starts": row.starts}, reason, actor, now)
    return row


@transaction.atomic
def leave_out(*, round: Round, entry: Entry, reason: str, actor: Actor, now: datetime) -> Exclusion:
    """Let no average rest on this player's round; the player is rated all the same.

    Twice is once. Raises RatingRefused without a reason.
    """
    event = _locked(round.event)
    reason = reason.strip()
    if not reason:
        raise RatingRefused("Say why this player is left out of the average.")
    held = Exclusion.objects.filter(round=round, entry=entry, taken_back_at__isnull=True).first()
    if held is not None:
        return held
    row = Exclusion.objects.create(round=round, entry=entry, reason=reason[:200], at=now, by=actor.name[:150])
    detail = {"round": round.number, "entry": entry.pk}
    _log(event, Action.RATING_LEFT_OUT, entry.person.name, detail, reason, actor, now)
    return row


@transaction.atomic
def take_in_again(*, round: Round, entry: Entry, actor: Actor, now: datetime) -> None:
    """Let the average rest on this player's round again, if the rules take it. Not left out: nothing happens."""
    event = _locked(round.event)
    held = Exclusion.objects.filter(round=round, entry=entry, taken_back_at__isnull=True).first()
    if held is None:
        return
    held.taken_back_at, held.taken_back_by = now, actor.name[:150]
    held.save(update_fields=["taken_back_at", "taken_back_by"])
    detail = {"round": round.number, "entry": entry.pk}
    _log(event, Action.RATING_TAKEN_IN, entry.person.name, detail, "", actor, now)


def _locked(event: Event) -> Event:
    """One decision about an event's ratings at a time."""
    return Event.objects.select_for_update().get(pk=event.pk)


def _pool(event: Event, key: str) -> PoolRating:
    for pool in ratings_of(event):
        if pool.key == key:
            return pool
    raise RatingRefused("These rounds are pooled otherwise by now: look at the page again.")


def _log(
    event: Event,
    action: Action,
    subject: str,
    detail: Mapping[str, object],
    reason: str,
    actor: Actor,
    now: datetime,
) -> None:
    record(
        chain=event.slug, action=action, subject=subject, actor=actor, now=now, detail=detail, reason=reason
    )
