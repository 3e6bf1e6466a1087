"""Saying how a duty stands and whose it is; own tasks; addresses for calendars."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import F, Max

from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.countdown.models import CalendarFeed, DutyMark, Task, new_code
from events.logistics.countdown.queries import countdown_of
from events.setup.models import Event

FARTHEST_DAYS = 1000


class CountdownRefused(Exception):
    """It cannot be kept as asked; the message is a sentence to show."""


@dataclass(frozen=True, slots=True)
class TaskFacts:
    """An own task as it was typed. Its date: a number of `days` before or after the event, or `due_on`, or none."""

    what: str
    start: str = ""
    days: int | None = None
    due_on: date | None = None
    owner: str = ""
    slips: str = ""


@transaction.atomic
def mark(*, event: Event, keys: Sequence[str], state: str, reason: str, actor: Actor, now: datetime) -> str:
    """Say that something is done, is not needed, or is open again. Returns what it is about, in words.

    Raises CountdownRefused for a key that is not on the countdown, for what the program itself shows to be done,
    and for "not needed" without a reason.
    """
    Event.objects.select_for_update().get(pk=event.pk)  # one mark a key
    reason = reason.strip()[:200]
    if state not in DutyMark.State.values:
        raise CountdownRefused("Choose done, not needed or open.")
    if state == DutyMark.State.NOT_NEEDED and not reason:
        raise CountdownRefused("Say why it is not needed.")
    what = _what(event, keys, now)
    for key in keys:
        DutyMark.objects.update_or_create(
            event=event,
            key=key,
            defaults={"state": state, "reason": reason, "at": now, "by": actor.name[:150]},
        )
    detail = {"state": state, "keys": list(keys)}
    _log(event, Action.DUTY_MARKED, what, detail, actor, now, reason)
    return what


@transaction.atomic
def give_to(*, event: Event, keys: Sequence[str], owner: str, actor: Actor, now: datetime) -> str:
    """Say whose it is; "" gives it back to whom the rulebook or the task names. Raises CountdownRefused."""
    Event.objects.select_for_update().get(pk=event.pk)
    what = _what(event, keys, now)
    owner = owner.strip()[:60]
    for key in keys:
        DutyMark.objects.update_or_create(
            event=event,
            key=key,
            defaults={"owner": owner},
            create_defaults={"owner": owner, "at": now, "by": actor.name[:150]},
        )
    _log(event, Action.DUTY_OWNER, what, {"owner": owner, "keys": list(keys)}, actor, now)
    return what


def _what(event: Event, keys: Sequence[str], now: datetime) -> str:
    """What the keys are about, where they all stand on the countdown and can be marked."""
    lines = {key: line for line in countdown_of(event, now).lines for key in line.keys}
    if not keys or any(key not in lines for key in keys):
        raise CountdownRefused("This is not on the countdown any more. Look at the page again.")
    first = lines[keys[0]]
    if first.over:
        raise CountdownRefused(f"{first.what}: {first.over}. There is nothing to say of it.")
    return f"{first.what}, {first.of}" if first.of else first.what


@transaction.atomic
def add_task(*, event: Event, facts: TaskFacts, actor: Actor, now: datetime) -> Task:
    """Write down something that no rule asks for. Raises CountdownRefused."""
    Event.objects.select_for_update().get(pk=event.pk)  # one number after the other
    values = _checked(facts)
    last = Task.objects.filter(event=event).aggregate(last=Max("number"))["last"] or 0
    task = Task.objects.create(event=event, number=last + 1, **values)
    _log(event, Action.TASK_KEPT, task.what, _plain(values), actor, now)
    return task


@transaction.atomic
def change_task(*, task: Task, facts: TaskFacts, version: int, actor: Actor, now: datetime) -> Task:
    """Change an own task; `version` is the one the writer saw. Raises CountdownRefused when it is another by now."""
    values = _checked(facts)
    claimed = Task.objects.filter(pk=task.pk, version=version, dropped_at__isnull=True)
    if not claimed.update(**values, version=F("version") + 1):
        raise CountdownRefused("Somebody else changed this task meanwhile. Open it again and look.")
    task.refresh_from_db()
    _log(task.event, Action.TASK_KEPT, task.what, _plain(values), actor, now)
    return task


@transaction.atomic
def drop_task(*, task: Task, actor: Actor, now: datetime) -> Task:
    """Take a task off the countdown; it can be taken back in. Raises CountdownRefused when it is off already."""
    if not Task.objects.filter(pk=task.pk, dropped_at__isnull=True).update(dropped_at=now):
        raise CountdownRefused(f"“{task.what}” is dropped already.")
    _log(task.event, Action.TASK_DROPPED, task.what, {}, actor, now)
    return task


@transaction.atomic
def take_back_task(*, task: Task, actor: Actor, now: datetime) -> Task:
    """Undo the dropping. Raises CountdownRefused for a task that stands on the countdown."""
    if not Task.objects.filter(pk=task.pk, dropped_at__isnull=False).update(dropped_at=None):
        raise CountdownRefused(f"“{task.what}” is on the countdown.")
    _log(task.event, Action.TASK_BACK, task.what, {}, actor, now)
    return task


@transaction.atomic
def open_feed(*, event: Event, owner: str, actor: Actor, now: datetime) -> CalendarFeed:
    """An address for a calendar: of all, or of what `owner` has to do. One that was open for them closes."""
    Event.objects.select_for_update().get(pk=event.pk)
    owner = owner.strip()[:60]
    CalendarFeed.objects.filter(event=event, owner=owner, revoked_at__isnull=True).update(revoked_at=now)
    feed = CalendarFeed.objects.create(
        event=event, owner=owner, code=new_code(), made_at=now, made_by=actor.name[:150]
    )
    _log(event, Action.COUNTDOWN_CALENDAR, str(feed), {}, actor, now)
    return feed


@transaction.atomic
def close_feed(*, feed: CalendarFeed, actor: Actor, now: datetime) -> None:
    """The address answers nobody any more. Raises CountdownRefused when it is closed already."""
    if not CalendarFeed.objects.filter(pk=feed.pk, revoked_at__isnull=True).update(revoked_at=now):
        raise CountdownRefused("This address is closed already.")
    _log(feed.event, Action.COUNTDOWN_CALENDAR_CLOSED, str(feed), {}, actor, now)


def _checked(facts: TaskFacts) -> dict[str, object]:
    if not facts.what.strip():
        raise CountdownRefused("Say what is to be done.")
    if facts.start and facts.start not in Task.Start.values:
        raise CountdownRefused("Choose days before the first day, or after the last.")
    if facts.start and (facts.days is None or not 0 <= facts.days <= FARTHEST_DAYS):
        raise CountdownRefused(f"Write how many days, from 0 to {FARTHEST_DAYS}.")
    if not facts.start and facts.days is not None:
        raise CountdownRefused("Say whether the days count before the first day or after the last.")
    if facts.start and facts.due_on is not None:
        raise CountdownRefused("Give a day, or a number of days before or after the event; not both.")
    return {
        "what": facts.what.strip()[:160],
        "start": facts.start,
        "days": facts.days,
        "due_on": facts.due_on,
        "owner": facts.owner.strip()[:60],
        "slips": facts.slips.strip()[:200],
    }


def _plain(values: dict[str, object]) -> dict[str, object]:
    return {name: str(value) if isinstance(value, date) else value for name, value in values.items()}


def _log(
    event: Event,
    action: Action,
    subject: str,
    detail: Mapping[str, object],
    actor: Actor,
    now: datetime,
    reason: str = "",
) -> None:
    record(
        chain=event.slug,
        action=action,
        subject=subject,
        actor=actor,
        now=now,
        detail=dict(detail),
        reason=reason,
    )
