"""Prizes that nobody claimed in time: forfeited after reasonable efforts (Competition Manual 2025, 1.10.G)."""

from datetime import date, datetime

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from scoring.prizes.awards import Due, awards_of
from scoring.prizes.models import Forfeit
from scoring.prizes.services import PrizesRefused


@transaction.atomic
def forfeit_prize(
    *, entry: Entry, expected_cents: int, asked: str, asked_on: date, actor: Actor, now: datetime
) -> Forfeit:
    """What is open of a prize is not paid any more; `asked`, `asked_on`: whom the director wrote to, how, and when
    last; `expected_cents`: what the page showed.

    Raises PrizesRefused while the prize can be claimed, where nothing or another amount is open, and without the
    effort that was made.
    """
    held = Entry.objects.select_for_update(of=("self",)).select_related("event", "person").get(pk=entry.pk)
    due = _open_due(held, expected_cents, held.event.local(now).date())
    if not asked.strip():
        raise PrizesRefused("Say whom you wrote to, and how: a prize is forfeited only after that.")
    if asked_on > held.event.local(now).date():
        raise PrizesRefused("That day is still to come: write the day on which you wrote last.")
    row = Forfeit.objects.create(
        entry=held,
        cents=max(0, due.open),
        asked=asked.strip()[:200],
        asked_on=asked_on,
        at=now,
        by=actor.name[:150],
    )
    _log(row, Action.PRIZE_FORFEITED, actor, now)
    return row


def _open_due(entry: Entry, expected_cents: int, today: date) -> Due:
    awards = awards_of(entry.event)
    due = awards.due_of(entry.pk)
    if due is None or not due.waits:
        raise PrizesRefused(f"Nothing is open for {entry.person.name}: look again.")
    if not awards.lapsed(due, today):
        until = awards.forfeited_after
        raise PrizesRefused(f"{entry.person.name} can claim the prize until {until.day} {until:%B}.")
    if due.open != expected_cents:
        raise PrizesRefused(f"The prize of {entry.person.name} is another by now: look again.")
    return due


@transaction.atomic
def undo_forfeit(*, row: Forfeit, actor: Actor, now: datetime) -> Forfeit:
    """The prize waits for its player again. Raises PrizesRefused when that was done already."""
    held = (
        Forfeit.objects.select_for_update(of=("self",))
        .select_related("entry__event", "entry__person")
        .get(pk=row.pk)
    )
    if held.taken_back_at is not None:
        raise PrizesRefused(f"The prize of {held.entry.person.name} waits already.")
    held.taken_back_at, held.taken_back_by = now, actor.name[:150]
    held.save(update_fields=["taken_back_at", "taken_back_by"])
    _log(held, Action.PRIZE_NOT_FORFEITED, actor, now)
    return held


def _log(row: Forfeit, action: Action, actor: Actor, now: datetime) -> None:
    record(
        chain=row.entry.event.slug,
        action=action,
        subject=row.entry.person.name,
        actor=actor,
        now=now,
        detail={"prize_cents": row.cents, "last written": row.asked_on.isoformat()},
        reason=row.asked,
    )
