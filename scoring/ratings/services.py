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
from events.setup.over import hold_open
from events.setup.queries import rulebook_for
from scoring.ratings.carrying import carry_methods
from scoring.ratings.models import JoinDecision, MethodDecision, PlayerDecision, SplitDecision
from scoring.ratings.propagators import Reason
from scoring.ratings.queries import PoolRating, compare, differ_words, ratings_of
from scoring.ratings.refusal import RatingRefused

LOWEST_SSA, HIGHEST_SSA = Decimal(18), Decimal(200)  # throws a round; only figures that cannot be are refused


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

    A method that was chosen goes along. Raises RatingRefused for fewer than two rounds, for a round that was not played
    on this layout, for one that is split by conditions or has no holes in common with another, and where different
    methods are chosen for them.
    """
    event = _locked(event)
    numbers = sorted(set(rounds))
    before = [pool for pool in ratings_of(event) if pool.layout.id == layout.pk]
    test = ""
    if numbers:
        _refuse_joining(before, numbers, layout)
        labels = before[0].labels_of_layout
        test = differ_words(compare(before, layout.pk, labels, numbers), rulebook_for(event))
    row = JoinDecision.objects.create(
        layout=layout, rounds=numbers, test=test, reason=reason[:200], at=now, by=actor.name[:150]
    )
    _log(event, Action.RATING_JOINED, layout.name, {"rounds": numbers, "test": test}, reason, actor, now)
    carry_methods(event, before, actor=actor, now=now)
    return row


def _refuse_joining(pools: Sequence[PoolRating], numbers: Sequence[int], layout: Layout) -> None:
    played = {number for pool in pools for number in pool.rounds}
    if len(numbers) < 2 or not set(numbers) <= played:
        raise RatingRefused(f"Choose at least two rounds that were played on {layout.name}.")
    if any(pool.conditions and set(pool.rounds) & set(numbers) for pool in pools):
        raise RatingRefused("A round that is rated in parts cannot share an average: join its parts first.")
    holes = [{pool.labels for pool in pools if number in pool.rounds} for number in numbers]
    if not set.intersection(*holes):
        counts = ", ".join(
            f"{len(labels)} in round {number}"
            for number, each in zip(numbers, holes, strict=True)
            for labels in sorted(each)
        )
        raise RatingRefused(
            f"Rounds share an average over the same holes alone; of these there count: {counts}. Leave them apart."
        )


@transaction.atomic
def split_round(
    *, round: Round, layout: Layout, starts: Sequence[time], reason: str, actor: Actor, now: datetime
) -> SplitDecision:
    """Rate starts from each of these local times on apart, since conditions were others; none: rate them together.

    A method that was chosen goes along. Raises RatingRefused for a part that nobody started in, and for a round that
    shares its average with another.
    """
    event = _locked(round.event)
    times = sorted(set(starts))
    before = [
        pool for pool in ratings_of(event) if pool.layout.id == layout.pk and round.number in pool.rounds
    ]
    if times:
        if not before:
            raise RatingRefused(f"Nobody has a complete card of round {round.number} on {layout.name}.")
        if any(len(pool.rounds) > 1 for pool in before):
            raise RatingRefused("This round shares its average with another: part the rounds first.")
        _refuse_empty_part(times, sorted({start for pool in before for start in pool.starts}))
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
    carry_methods(event, before, actor=actor, now=now)
    return row


def _refuse_empty_part(times: Sequence[time], held: Sequence[time]) -> None:
    """`held` are the starts that there were."""
    bounds = [time.min, *times]
    for at, low in enumerate(bounds):
        high = bounds[at + 1] if at + 1 < len(bounds) else None
        if not any(start >= low and (high is None or start < high) for start in held):
            shown = ", ".join(f"{start:%H:%M}" for start in held) or "none is known"
            raise RatingRefused(f"Nobody would be left in one of the parts; starts are: {shown}.")


@transaction.atomic
def leave_out(*, round: Round, entry: Entry, reason: str, actor: Actor, now: datetime) -> PlayerDecision:
    """Let no average rest on this player's round; the player is rated all the same.

    Twice is once. Raises RatingRefused without a reason.
    """
    event = _locked(round.event)
    reason = reason.strip()
    if not reason:
        raise RatingRefused("Say why this player is left out of the average.")
    held = _standing(round, entry)
    if held is not None and not held.counts:
        return held
    if held is not None:
        _end(held, actor, now)
    return _decide(event, round, entry, False, reason, actor, now)


@transaction.atomic
def let_in(*, round: Round, entry: Entry, reason: str, actor: Actor, now: datetime) -> PlayerDecision:
    """Let the average rest on a round of which the player did not play every hole.

    Twice is once. Raises RatingRefused without a reason, and for a round that is not left out for that.
    """
    event = _locked(round.event)
    reason = reason.strip()
    if not reason:
        raise RatingRefused("Say why this player counts all the same.")
    held = _standing(round, entry)
    if held is not None and held.counts:
        return held
    key = f"{entry.pk}-{round.number}"
    excluded = [each for pool in ratings_of(event) for each in pool.rating.excluded if each.key == key]
    if not any(each.reason is Reason.HOLES_NOT_PLAYED for each in excluded):
        raise RatingRefused(
            f"{entry.person.name} is not left out of round {round.number} for holes not played."
        )
    return _decide(event, round, entry, True, reason, actor, now)


@transaction.atomic
def take_back(*, round: Round, entry: Entry, actor: Actor, now: datetime) -> None:
    """Let the rules say again whether the average rests on this round. Nothing was decided: nothing happens."""
    event = _locked(round.event)
    held = _standing(round, entry)
    if held is None:
        return
    _end(held, actor, now)
    act = Action.RATING_LEFT_OUT if held.counts else Action.RATING_TAKEN_IN
    detail = {"round": round.number, "entry": entry.pk}
    _log(event, act, entry.person.name, detail, "", actor, now)


def _standing(round: Round, entry: Entry) -> PlayerDecision | None:
    return PlayerDecision.objects.filter(round=round, entry=entry, taken_back_at__isnull=True).first()


def _end(held: PlayerDecision, actor: Actor, now: datetime) -> None:
    held.taken_back_at, held.taken_back_by = now, actor.name[:150]
    held.save(update_fields=["taken_back_at", "taken_back_by"])


def _decide(
    event: Event, round: Round, entry: Entry, counts: bool, reason: str, actor: Actor, now: datetime
) -> PlayerDecision:
    row = PlayerDecision.objects.create(
        round=round, entry=entry, counts=counts, reason=reason[:200], at=now, by=actor.name[:150]
    )
    act = Action.RATING_LET_IN if counts else Action.RATING_LEFT_OUT
    _log(event, act, entry.person.name, {"round": round.number, "entry": entry.pk}, reason, actor, now)
    return row


def _locked(event: Event) -> Event:
    """One decision about an event's ratings at a time, and none once the event is over."""
    return hold_open(event, RatingRefused)


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
