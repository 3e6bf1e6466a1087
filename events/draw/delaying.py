"""What a delay moves besides published sheets: the starts of rounds that are still only planned."""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta

from django.db import transaction
from django.db.models import F, QuerySet

from events.draw.models import Group, Moved, Pool, Sheet
from events.draw.placing import refuse_when_over
from events.draw.services import ensure_pools
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event, Round


@transaction.atomic
def move_planned(
    *, event: Event, since: datetime, by: timedelta, reason: str, actor: Actor, now: datetime
) -> list[Round]:
    """The rounds of that day without a published sheet start later (earlier, with a negative `by`).

    A start that lies at `since` or before it has come, and stays; so does one of another day. A draft follows. Returns
    the rounds that moved. Raises DrawRefused when the event is over.
    """
    refuse_when_over(event)
    day = event.local(since).date()
    moved = []
    for round_ in _unpublished(event):
        pools = [
            pool for pool in ensure_pools(round_) if comes(event, pool.first_start_at, since=since, day=day)
        ]
        if not pools:
            continue
        keep_starts(round_, [pool.first_start_at for pool in _pools(round_)], reason, actor, now)
        before = {pool.label: pool.first_start_at.isoformat() for pool in pools}
        for pool in pools:
            pool.first_start_at += by
        Pool.objects.bulk_update(pools, ["first_start_at"])
        _move_draft(round_, pools, by)
        after = {pool.label: pool.first_start_at.isoformat() for pool in pools}
        record(
            chain=event.slug,
            action=Action.STARTS_MOVED,
            subject=str(round_),
            actor=actor,
            now=now,
            detail={"before": before, "after": after},
            reason=reason,
        )
        moved.append(round_)
    return moved


def comes(event: Event, start: datetime, *, since: datetime, day: date) -> bool:
    """Whether a start of that day was still to come."""
    return start > since and event.local(start).date() == day


def keep_starts(round: Round, starts: Iterable[datetime], reason: str, actor: Actor, now: datetime) -> Moved:
    """Write down what the starts were (part of a service's transaction)."""
    return Moved.objects.create(
        round=round,
        was=[moment.isoformat() for moment in sorted(start.astimezone(UTC) for start in starts)],
        reason=reason[:300],
        at=now,
        by=actor.name[:150],
    )


def starts_before_moving(event: Event) -> dict[int, tuple[datetime, ...]]:
    """Round id → its starts before the first delay moved them, in UTC; only rounds that were moved (1 query)."""
    found: dict[int, tuple[datetime, ...]] = {}
    for move in Moved.objects.filter(round__event=event).order_by("pk"):
        found.setdefault(move.round_id, tuple(datetime.fromisoformat(text) for text in move.was))
    return found


def _unpublished(event: Event) -> QuerySet[Round]:
    published = Sheet.objects.filter(round__event=event, state=Sheet.State.PUBLISHED).values("round")
    return (
        Round.objects.select_for_update(of=("self",))
        .filter(event=event)
        .exclude(pk__in=published)
        .select_related("event")
        .order_by("number")
    )


def _pools(round: Round) -> QuerySet[Pool]:
    return Pool.objects.filter(round=round, retired=False)


def _move_draft(round: Round, pools: Sequence[Pool], by: timedelta) -> None:
    drafts = Sheet.objects.filter(round=round, state=Sheet.State.DRAFT)
    groups = list(Group.objects.filter(sheet__in=drafts, pool__in=pools))
    for group in groups:
        group.starts_at += by
    Group.objects.bulk_update(groups, ["starts_at"])
    drafts.update(revision=F("revision") + 1)
