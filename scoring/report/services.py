"""Closing the event, opening it again, and making the results workbook."""

from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record, revision
from events.setup.models import Event
from scoring.report.queries import closing_of
from scoring.report.workbook import workbook_bytes


class ClosingRefused(Exception):
    """The event cannot be closed or opened again; the message is a sentence to show."""


@transaction.atomic
def close_event(*, event: Event, reason: str, actor: Actor, now: datetime) -> Event:
    """Declare the event over: the last moment at which penalties change (Official Rules 2025, 808.G.1).

    While something is missing a reason is needed, which the log keeps with the list. Raises ClosingRefused
    without one, and for an event that is over already.
    """
    held = Event.objects.select_for_update().get(pk=event.pk)
    if held.over_at is not None:
        raise ClosingRefused("The event is over already.")
    missing = [each.text for each in closing_of(held, now).missing]
    reason = reason.strip()
    if missing and not reason:
        raise ClosingRefused("Something is missing: say why the event is over all the same.")
    held.over_at = now
    held.save(update_fields=["over_at"])
    record(
        chain=held.slug,
        action=Action.EVENT_CLOSED,
        subject=held.name,
        actor=actor,
        now=now,
        detail={"missing": missing} if missing else {},
        reason=reason,
    )
    return held


@transaction.atomic
def reopen_event(*, event: Event, reason: str, actor: Actor, now: datetime) -> Event:
    """Open the event again, for a mistake. Raises ClosingRefused without a reason, or if it is not over."""
    held = Event.objects.select_for_update().get(pk=event.pk)
    reason = reason.strip()
    if held.over_at is None:
        raise ClosingRefused("The event is not over.")
    if not reason:
        raise ClosingRefused("Say why the event is opened again.")
    before, held.over_at = held.over_at, None
    held.save(update_fields=["over_at"])
    record(
        chain=held.slug,
        action=Action.EVENT_CHANGED,
        subject=held.name,
        actor=actor,
        now=now,
        detail={"over_at": {"old": before.isoformat(), "new": None}},
        reason=reason,
    )
    return held


@transaction.atomic
def make_workbook(*, event: Event, with_money: bool, actor: Actor, now: datetime) -> bytes:
    """The results as they stand, as .xlsx; the log keeps who took them. Money only for those who may see it."""
    state = revision(event.slug)
    content = workbook_bytes(event, now=now, with_money=with_money)
    record(
        chain=event.slug,
        action=Action.REPORT_MADE,
        subject=event.name,
        actor=actor,
        now=now,
        detail={"acts_in_it": state, "money": with_money},
    )
    return content
