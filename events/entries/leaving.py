"""Leaving the field, and coming back: withdrawal, not playing, not finishing, disqualification, waitlist promotion.

What each word means for payout, standings and ratings is said by statuses.py, with its section.
"""

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Sum

from events.entries.caps import next_from_waitlist
from events.entries.facts import applicants_of, caps_of
from events.entries.models import Entry, Payment, Status
from events.entries.queries import start_of_event
from events.entries.refunds import Cause, Refund, RefundOption, refund
from events.entries.services import (
    EntryRefused,
    locked,
    log_entry,
    money_of,
    placement_of,
    refuse_when_over,
    save_fields,
)
from events.log.actions import Action
from events.log.services import Actor
from events.rulebook.divisions import division
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from events.setup.queries import rulebook_for


class NobodyWaits(EntryRefused):
    """No place is free under every cap, or nobody waits for it."""


def refund_for(
    entry: Entry, *, received_at: datetime, rulebook: Rulebook, cause: Cause = Cause.WITHDRAWAL
) -> Refund:
    """What the published table gives back for this entry, every choice of the director included (4 queries).

    The fee is what was paid, at most the entry fee: add-ons are the director's to give back. What was paid back
    already counts as paid: the options are those of the whole case, `paid_back` says what is done of them.
    """
    event = entry.event
    code = entry.division.code
    filled = entry.filled_by.received_at if entry.filled_by is not None else None
    return refund(
        cause=cause,
        fee_cents=max(0, min(entry.fee_cents, money_of(entry).paid + paid_back(entry))),
        rulebook=rulebook,
        event_start=event.local(start_of_event(event)),
        received_at=received_at,
        closing_at=event.registration_closes_at,
        filled_at=max(filled, received_at) if filled is not None else None,
        handling_fee_cents=event.handling_fee_cents,
        pro_without_pack=division(rulebook, code).professional and not entry.pack,
        pack_exists=bool(entry.pack),
        professional=division(rulebook, code).professional,
    )


_CAUSES = {
    Status.WITHDRAWN: Cause.WITHDRAWAL,
    Status.DID_NOT_PLAY: Cause.MISSED_CHECK_IN,
    Status.DISQUALIFIED: Cause.DISQUALIFIED,
}


def refund_due(entry: Entry, rulebook: Rulebook) -> Refund | None:
    """What the table gives back to somebody who has left, as things stand now; None for everybody else.

    A place that was filled since counts. Raises HandlingFeeTooHigh.
    """
    cause = _CAUSES.get(Status(entry.status))
    if cause is None or entry.left_at is None:
        return None
    return refund_for(entry, received_at=entry.left_at, rulebook=rulebook, cause=cause)


def paid_back(entry: Entry) -> int:
    """Cents that went back to the player so far, undone payments left aside (1 query)."""
    rows = Payment.objects.filter(entry=entry, amount_cents__lt=0, undoes__isnull=True)
    return -int(rows.aggregate(sum=Sum("amount_cents"))["sum"] or 0)


@transaction.atomic
def withdraw(
    *,
    entry: Entry,
    received_at: datetime,
    actor: Actor,
    now: datetime,
    option: RefundOption | None = None,
    method: Payment.Method = Payment.Method.OTHER,
    reason: str = "",
) -> Entry:
    """The player told the director (1.03.A). `option`: the refund chosen from `refund_for`; None: none is paid now."""
    entry = locked(entry)
    if entry.status not in {Status.APPLIED, Status.CONFIRMED, Status.WAITLISTED}:
        raise EntryRefused(f"{entry.person} is not in the field: {Status(entry.status).label}.")
    detail: dict[str, Any] = {"was": entry.status, "received": received_at.isoformat()}
    if option is not None:
        detail["refund"] = {"amount_cents": option.cents, "pack": option.pack, "words": option.text}
    _leave(entry, Status.WITHDRAWN, received_at, reason)
    log_entry(entry, Action.ENTRY_WITHDRAWN, actor, now, detail, reason)
    if option is not None and option.cents:
        pay_back(
            entry=entry, amount_cents=option.cents, method=method, actor=actor, now=now, note=option.text
        )
    return entry


@transaction.atomic
def pay_back(
    *, entry: Entry, amount_cents: int, method: Payment.Method, actor: Actor, now: datetime, note: str = ""
) -> Payment:
    """Money out, never more than was paid. Raises EntryRefused."""
    entry = locked(entry, for_money=True)  # refunds are often paid only after the event
    paid = money_of(entry).paid
    if not 0 < amount_cents <= paid:
        raise EntryRefused("No more can be paid back than was paid.")
    payment = Payment.objects.create(
        entry=entry, amount_cents=-amount_cents, method=method, at=now, by=actor.name, note=note[:200]
    )
    log_entry(
        entry, Action.PAYMENT_REFUNDED, actor, now, {"amount_cents": amount_cents, "method": method.value}
    )
    return payment


@transaction.atomic
def mark_did_not_play(*, entry: Entry, actor: Actor, now: datetime, reason: str = "") -> Entry:
    """Registered, never started (5.06.A): out before the payout is computed; a missed check-in gives nothing back."""
    return _mark(
        entry, Status.DID_NOT_PLAY, Action.ENTRY_DID_NOT_PLAY, actor, now, reason, {Status.CONFIRMED}
    )


@transaction.atomic
def waive_missed_check_in(*, entry: Entry, actor: Actor, now: datetime, reason: str) -> Entry:
    """The director keeps the place of somebody who missed check-in (1.04.C); the waiver is logged with its reason."""
    if not reason.strip():
        raise EntryRefused("A waiver needs its reason.")
    entry = locked(entry)
    if entry.status != Status.CONFIRMED or entry.checked_in_at is not None:
        raise EntryRefused(f"{entry.person} did not miss check-in.")
    log_entry(entry, Action.ENTRY_EXCEPTION, actor, now, {"waived": "missed check-in"}, reason)
    return entry


@transaction.atomic
def for_each(entries: Iterable[Entry], service: Callable[..., Entry], **facts: Any) -> None:
    """The same act on several entries, all or none."""
    for entry in entries:
        service(entry=entry, **facts)


@transaction.atomic
def mark_did_not_finish(*, entry: Entry, actor: Actor, now: datetime, reason: str = "") -> Entry:
    """Told the director before leaving or before the next round (5.06.B)."""
    return _mark(
        entry, Status.DID_NOT_FINISH, Action.ENTRY_DID_NOT_FINISH, actor, now, reason, {Status.CONFIRMED}
    )


@transaction.atomic
def disqualify(*, entry: Entry, actor: Actor, now: datetime, reason: str) -> Entry:
    """Only the director disqualifies (3.03.E, OR 801.02); the reason is recorded."""
    if not reason.strip():
        raise EntryRefused("A disqualification needs its reason.")
    may = {Status.CONFIRMED, Status.DID_NOT_FINISH}
    return _mark(entry, Status.DISQUALIFIED, Action.ENTRY_DISQUALIFIED, actor, now, reason, may)


def _mark(
    entry: Entry, status: Status, action: Action, actor: Actor, now: datetime, reason: str, may: set[Status]
) -> Entry:
    entry = locked(entry)
    if entry.status not in may:
        raise EntryRefused(f"{entry.person} cannot be marked {status.label}: {Status(entry.status).label}.")
    was = entry.status
    if status is Status.DID_NOT_PLAY and entry.checked_in_at is not None:
        entry.checked_in_at, entry.checked_in_by = None, ""
        save_fields(entry, "checked_in_at", "checked_in_by")
    _leave(entry, status, now, reason)
    log_entry(entry, action, actor, now, {"was": was}, reason)
    return entry


def _leave(entry: Entry, status: Status, at: datetime, reason: str) -> None:
    entry.status, entry.left_at, entry.left_reason = status, at, reason.strip()
    fields = ["status", "left_at", "left_reason"]
    if status is Status.WITHDRAWN:
        entry.checked_in_at, entry.checked_in_by = None, ""
        fields += ["checked_in_at", "checked_in_by"]
    save_fields(entry, *fields)


@transaction.atomic
def reinstate(*, entry: Entry, actor: Actor, now: datetime, reason: str = "") -> Entry:
    """Undo a leaving. Whoever withdrew comes back only to a free place; a place given away is not taken back."""
    entry = locked(entry)
    if entry.status in {Status.APPLIED, Status.CONFIRMED, Status.WAITLISTED}:
        raise EntryRefused(f"{entry.person} has not left.")
    was = Status(entry.status)
    entry.status = Status.CONFIRMED
    if was is Status.WITHDRAWN:
        entry.status = Status.APPLIED
        save_fields(entry, "status")
        if money_of(entry).owed <= 0:
            free = placement_of(entry, rulebook_for(entry.event)).state == "in"
            entry.status = Status.CONFIRMED if free else Status.WAITLISTED
    entry.left_at, entry.left_reason = None, ""
    save_fields(entry, "status", "left_at", "left_reason")
    log_entry(entry, Action.ENTRY_REINSTATED, actor, now, {"was": was.value, "now": entry.status}, reason)
    return entry


def next_in_line(event: Event, rulebook: Rulebook) -> Entry | None:
    """The one person who may be promoted now: first in the order of entry for whom every cap has room (3 queries)."""
    found = next_from_waitlist(applicants_of(event, rulebook), caps_of(event))
    if found is None:
        return None
    return Entry.objects.select_related("person", "division", "event").get(pk=found.key)


@transaction.atomic
def promote(
    *,
    event: Event,
    actor: Actor,
    now: datetime,
    entry: Entry | None = None,
    reason: str = "",
    freed: Entry | None = None,
) -> Entry:
    """Give a free place to the next of the waitlist. Somebody else (`entry`) only with a reason.

    `freed`: the entry whose place it is; it then counts as filled, which its refund depends on.
    Raises NobodyWaits, EntryRefused.
    """
    rulebook = rulebook_for(event)
    refuse_when_over(Event.objects.select_for_update().get(pk=event.pk))  # one promotion after the other
    due = next_in_line(event, rulebook)
    chosen = entry or due
    if chosen is None:
        raise NobodyWaits("No place is free, or nobody waits for it.")
    if (due is None or chosen.pk != due.pk) and not reason.strip():
        first = f"{due.person} is next" if due else "no place is free under the caps"
        raise EntryRefused(f"{chosen.person} is not next: {first}. Say why.")
    chosen = locked(chosen)
    if chosen.status != Status.WAITLISTED:
        raise EntryRefused(f"{chosen.person} is not on the waitlist.")
    chosen.status = Status.CONFIRMED
    save_fields(chosen, "status")
    if freed is None:
        freed = _unfilled(event, chosen)
    if freed is not None:
        Entry.objects.filter(pk=freed.pk, filled_by__isnull=True).update(filled_by=chosen)
    detail = {"took_place_of": freed.pk if freed else None}
    log_entry(chosen, Action.ENTRY_PROMOTED, actor, now, detail, reason)
    return chosen


def _unfilled(event: Event, chosen: Entry) -> Entry | None:
    """The oldest withdrawal of the same division whose place nobody took yet; else of the event."""
    left = Entry.objects.filter(
        event=event, status=Status.WITHDRAWN, filled_by__isnull=True, left_at__isnull=False
    ).order_by("left_at", "pk")
    return left.filter(division=chosen.division).first() or left.first()
