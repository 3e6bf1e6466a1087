"""A delay typed by hand, and its undo: tee sheets that are out, rounds that are planned, and check-in move."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction

from events.draw.delaying import comes, move_planned
from events.draw.models import LONGEST_DELAY, Delay, Group, Sheet
from events.draw.moving import publish_moved
from events.draw.placing import DrawRefused
from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.stopped import open_suspension
from events.setup.models import Event, Round

JUST_BEFORE = timedelta(microseconds=1)  # what is set for the very minute that was typed moves as well
CHECKIN = ("checkin_opens_at", "checkin_closes_at")


class DelayRefused(Exception):
    """It cannot be; the message is a sentence to show."""


@transaction.atomic
def delay_day(
    *, event: Event, since: datetime, minutes: int, reason: str, actor: Actor, now: datetime
) -> Delay:
    """What was set for `since` and later on that day comes `minutes` later; nothing is put before `now`.

    Sheets that are out are published anew, planned rounds and check-in move. Raises DelayRefused.
    """
    event = Event.objects.select_for_update().get(pk=event.pk)
    reason = reason.strip()[:120]
    _refuse(event, since, minutes, reason, now)
    by = timedelta(minutes=minutes)
    words = f"{minutes} minutes later from {event.local(since):%H:%M}: {reason}"
    opened, closed = _move_check_in(event, since, by)
    row = Delay.objects.create(
        event=event,
        since=since,
        minutes=minutes,
        reason=reason,
        checkin_opened_at=opened,
        checkin_closed_at=closed,
        at=now,
        by=actor.name[:150],
    )
    moved = _move_rounds(event, since - JUST_BEFORE, by, words, actor, now)
    _record(row, Action.DAY_DELAYED, moved, actor, now)
    return row


@transaction.atomic
def take_back(*, delay: Delay, actor: Actor, now: datetime) -> Delay:
    """Undo the newest delay, as long as nothing that it moved has come. Raises DelayRefused."""
    event = Event.objects.select_for_update().get(pk=delay.event_id)
    row = Delay.objects.select_for_update(of=("self",)).select_related("event").get(pk=delay.pk)
    by = timedelta(minutes=row.minutes)
    if event.over_at is not None:
        raise DelayRefused("The event is over: its day stays as it was.")
    if row.taken_back_at is not None:
        raise DelayRefused("This delay is taken back already.")
    if Delay.objects.filter(event=event, taken_back_at__isnull=True, pk__gt=row.pk).exists():
        raise DelayRefused("Take back the newest delay first.")
    if row.since + by <= now:
        raise DelayRefused("What it moved has begun: the day stays as it is.")
    _put_back_check_in(event, row)
    words = f"the delay from {event.local(row.since):%H:%M} is taken back"
    moved = _move_rounds(event, row.since + by - JUST_BEFORE, -by, words, actor, now)
    row.taken_back_at, row.taken_back_by = now, actor.name[:150]
    row.save(update_fields=["taken_back_at", "taken_back_by"])
    _record(row, Action.DELAY_UNDONE, moved, actor, now)
    return row


def _refuse(event: Event, since: datetime, minutes: int, reason: str, now: datetime) -> None:
    if event.over_at is not None:
        raise DelayRefused("The event is over: nothing is left to delay.")
    if not 1 <= minutes <= LONGEST_DELAY:
        raise DelayRefused("Write by how many minutes: 1 to 720.")
    if not reason:
        raise DelayRefused("Say why in a word or two: everybody will ask.")
    if open_suspension(event) is not None:
        raise DelayRefused("Play is suspended: the restart moves the day by itself.")
    if not event.starts_on <= event.local(since).date() <= event.ends_on:
        raise DelayRefused("Name a time on one of the days of the event.")
    if since + timedelta(minutes=minutes) < now:
        raise DelayRefused(
            f"From {event.local(since):%H:%M} with {minutes} minutes, things would come before now: write a later"
            " time, or more minutes."
        )


def _move_check_in(event: Event, since: datetime, by: timedelta) -> tuple[datetime | None, datetime | None]:
    """Check-in of that day moves as far as it is to come. Returns what opening and closing were, where they moved."""
    day, was = event.local(since).date(), []
    for name in CHECKIN:
        moment = getattr(event, name)
        moves = moment is not None and comes(event, moment, since=since - JUST_BEFORE, day=day)
        was.append(moment if moves else None)
        if moves:
            setattr(event, name, moment + by)
    _save_check_in(event, changed=any(moment is not None for moment in was))
    return was[0], was[1]


def _put_back_check_in(event: Event, row: Delay) -> None:
    """Only where nobody has set another time since."""
    by, changed = timedelta(minutes=row.minutes), False
    for name, was in zip(CHECKIN, (row.checkin_opened_at, row.checkin_closed_at), strict=True):
        if was is not None and getattr(event, name) == was + by:
            setattr(event, name, was)
            changed = True
    _save_check_in(event, changed=changed)


def _save_check_in(event: Event, *, changed: bool) -> None:
    if changed:
        event.version += 1
        event.save(update_fields=[*CHECKIN, "version"])


def _move_rounds(
    event: Event, since: datetime, by: timedelta, reason: str, actor: Actor, now: datetime
) -> list[str]:
    """Every start of that day after `since`; in words what moved."""
    try:
        planned = move_planned(event=event, since=since, by=by, reason=reason, actor=actor, now=now)
        sheets = [
            publish_moved(
                round=round_,
                starts=starts,
                notes=[f"{reason[0].upper()}{reason[1:]}."],
                reason=reason,
                actor=actor,
                now=now,
            )
            for round_, starts in _published(event, since, by)
        ]
    except DrawRefused as refused:
        raise DelayRefused(str(refused)) from refused
    return [*map(str, planned), *map(str, sheets)]


def _published(event: Event, since: datetime, by: timedelta) -> Sequence[tuple[Round, dict[int, datetime]]]:
    """The rounds whose sheet is out with groups that start later that day, and their new starts (2 queries)."""
    day = event.local(since + JUST_BEFORE).date()
    groups = Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    starts: dict[int, dict[int, datetime]] = {}
    for round_id, number, start in groups.values_list("sheet__round_id", "number", "starts_at"):
        if comes(event, start, since=since, day=day):
            starts.setdefault(round_id, {})[number] = start + by
    rounds = Round.objects.filter(pk__in=starts).select_related("event").order_by("number")
    return [(round_, starts[round_.pk]) for round_ in rounds]


def _record(row: Delay, action: Action, moved: Sequence[str], actor: Actor, now: datetime) -> None:
    record(
        chain=row.event.slug,
        action=action,
        subject=f"{row.minutes} minutes from {row.event.local(row.since):%a %H:%M}",
        actor=actor,
        now=now,
        detail={
            "since": row.since.isoformat(),
            "minutes": row.minutes,
            "moved": list(moved),
            "check-in was": [
                moment.isoformat() if moment else None
                for moment in (row.checkin_opened_at, row.checkin_closed_at)
            ],
        },
        reason=row.reason,
    )
