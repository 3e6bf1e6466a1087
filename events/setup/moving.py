"""The whole event moved by days, at the same hours: what is planned, and what the floors above tie to its days."""

from collections.abc import Callable, Iterable, Mapping
from copy import copy
from datetime import datetime, timedelta

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event, Round
from events.setup.rows import PlanError, apply_facts
from events.setup.services import claim

FARTHEST = 1000  # days
MOMENTS = ("registration_opens_at", "registration_closes_at", "checkin_opens_at", "checkin_closes_at")
Follow = Callable[
    [Event, int], Mapping[str, int]
]  # moves what a floor keeps; how many of what moved. Raises CannotMove


class CannotMove(PlanError):
    """The event cannot be moved any more, or not so far; the message says why."""


@transaction.atomic
def move_event(
    *, event: Event, version: int, days: int, follow: Iterable[Follow], actor: Actor, now: datetime
) -> Event:
    """Days, rounds, registration and check-in so many days later, or earlier with a negative number, by the clock of
    the venue; `follow` moves what the floors above keep. Raises Stale, CannotMove, and ValidationError by field.
    """
    if not 1 <= abs(days) <= FARTHEST:
        raise CannotMove(f"Write by how many days: 1 to {FARTHEST}, or with a minus for earlier.")
    if event.over_at is not None:
        raise CannotMove("The event is over: its days stay as they were.")
    moved = copy(event)
    changes = apply_facts(moved, _facts(event, days))
    moved.full_clean()
    claim(event=event, version=version)
    moved.save(update_fields=list(changes))
    moved.version = version + 1
    rounds = list(Round.objects.filter(event=event).order_by("number"))
    for round_ in rounds:
        round_.date += timedelta(days=days)
        round_.full_clean()
    Round.objects.bulk_update(rounds, ["date"])
    followed: dict[str, int] = {"rounds": len(rounds)}
    for each in follow:
        followed |= each(moved, days)
    record(
        chain=event.slug,
        action=Action.EVENT_MOVED,
        subject=event.name,
        actor=actor,
        now=now,
        detail={"days": days, "moved": followed, **changes},
    )
    return moved


def _facts(event: Event, days: int) -> dict[str, object]:
    by = timedelta(days=days)
    moments = {name: getattr(event, name) for name in MOMENTS}
    return {
        "starts_on": event.starts_on + by,
        "ends_on": event.ends_on + by,
        **{name: at_same_hour(event, moment, days) for name, moment in moments.items() if moment is not None},
    }


def at_same_hour(event: Event, moment: datetime, days: int) -> datetime:
    """The same hour of the venue's clock so many days later."""
    local = event.local(moment)
    return event.at(local.date() + timedelta(days=days), local.time())
