"""Writing entries: registering, paying, checking in. Leaving the event is in leaving.py."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from events.entries.caps import Placement, place
from events.entries.eligibility import Verdict, check
from events.entries.facts import applicants_of, caps_of, event_facts, person_facts
from events.entries.models import Entry, EntryAddOn, Payment, Status
from events.entries.queries import with_money
from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.models import AddOn, Division, Event
from events.setup.queries import rulebook_for
from players.models import Person


class EntryRefused(Exception):
    """The entry cannot be as asked; the message is a sentence for the page."""


class NotEligible(EntryRefused):
    """The rules refuse this division; an exception needs a recorded approval."""

    def __init__(self, verdict: Verdict) -> None:
        super().__init__(verdict.words or f"{verdict.code} is not open to this player.")
        self.verdict = verdict


class AlreadyEntered(EntryRefused):
    pass


class EntryStale(EntryRefused):
    """Somebody else changed the entry since the page was shown."""


@dataclass(frozen=True, slots=True)
class Money:
    charged: int
    paid: int

    @property
    def owed(self) -> int:
        return self.charged - self.paid


def money_of(entry: Entry) -> Money:
    """Charged and paid in cents (1 query)."""
    row: Any = with_money(Entry.objects.filter(pk=entry.pk)).get()
    return Money(row.charged, row.paid)


def verdict_of(event: Event, person: Person, division: Division, rulebook: Rulebook) -> Verdict:
    """What the rules say of this player in this division (1 query)."""
    offered = event.divisions.filter(dropped_at__isnull=True).values_list("code", flat=True)
    return check(person_facts(person), division.code, event_facts(event, offered), rulebook)


@transaction.atomic
def add_entry(
    *,
    event: Event,
    person: Person,
    division: Division,
    received_at: datetime,
    actor: Actor,
    now: datetime,
    paid_cents: int = 0,
    addons: tuple[AddOn, ...] = (),
    exception: str = "",
    rulebook: Rulebook | None = None,
    **facts: Any,
) -> Entry:
    """Enter a player. Paid in full: confirmed or, where a cap is reached, on the waitlist; else applied.

    `received_at` is when the fee arrived, which is the order of entry. `exception` is the recorded approval for
    a division that the rules refuse. `facts`: pack, guardian, note. Raises NotEligible, AlreadyEntered.
    """
    rulebook = rulebook or rulebook_for(event)
    if Entry.objects.filter(event=event, person=person).exists():
        raise AlreadyEntered(f"{person} is entered already.")
    verdict = verdict_of(event, person, division, rulebook)
    if verdict.eligible is False and not exception.strip():
        raise NotEligible(verdict)
    entry = Entry.objects.create(
        event=event,
        person=person,
        division=division,
        received_at=received_at,
        fee_cents=division.fee_cents,
        paid_elsewhere_cents=paid_cents,
        rating=person.rating,
        rating_date=person.rating_date,
        rated_rounds=person.rated_rounds,
        exception=exception,
        exception_by=actor.name if exception else "",
        **facts,
    )
    EntryAddOn.objects.bulk_create(EntryAddOn(entry=entry, addon=addon) for addon in addons)
    log_entry(
        entry,
        Action.ENTRY_ADDED,
        actor,
        now,
        {"division": division.code, "paid": paid_cents},
        reason=exception,
    )
    settle(entry=entry, rulebook=rulebook, actor=actor, now=now)
    return entry


def placement_of(entry: Entry, rulebook: Rulebook) -> Placement:
    """Whether there is room for this entry, and on which list it waits otherwise (2 queries)."""
    applicants = [
        replace(each, confirmed=True, holds_place=False) if each.key == entry.pk else each
        for each in applicants_of(entry.event, rulebook)
    ]
    return place(applicants, caps_of(entry.event))[entry.pk]


def settle(*, entry: Entry, rulebook: Rulebook, actor: Actor, now: datetime) -> None:
    """After money came in: an applied entry that owes nothing more is confirmed, or waits where a cap is reached."""
    if entry.status != Status.APPLIED or money_of(entry).owed > 0:
        return
    found = placement_of(entry, rulebook)
    waits = found.state == "waits"
    entry.status = Status.WAITLISTED if waits else Status.CONFIRMED
    save_fields(entry, "status")
    scope = found.scope.words if found.scope else ""
    log_entry(
        entry,
        Action.ENTRY_WAITLISTED if waits else Action.ENTRY_CONFIRMED,
        actor,
        now,
        {"list": scope, "position": found.position} if waits else {},
    )


@transaction.atomic
def take_payment(
    *, entry: Entry, amount_cents: int, method: Payment.Method, actor: Actor, now: datetime, note: str = ""
) -> Payment:
    """Money in. The moment of the payment that settles an applied entry becomes its order of entry."""
    if amount_cents <= 0:
        raise EntryRefused("An amount taken is more than zero.")
    entry = locked(entry)
    payment = Payment.objects.create(
        entry=entry, amount_cents=amount_cents, method=method, at=now, by=actor.name, note=note
    )
    log_entry(entry, Action.PAYMENT_TAKEN, actor, now, {"cents": amount_cents, "method": method.value})
    if entry.status == Status.APPLIED:
        entry.received_at = now
        save_fields(entry, "received_at")
        settle(entry=entry, rulebook=rulebook_for(entry.event), actor=actor, now=now)
    return payment


@transaction.atomic
def undo_payment(*, payment: Payment, actor: Actor, now: datetime) -> Payment:
    """Take a payment back by a row of the opposite sign. The status stays; the desk sees what is owed."""
    payment = Payment.objects.select_for_update().select_related("entry").get(pk=payment.pk)
    if payment.undoes_id is not None or Payment.objects.filter(undoes=payment).exists():
        raise EntryRefused("This payment was undone already.")
    back = Payment.objects.create(
        entry=payment.entry,
        amount_cents=-payment.amount_cents,
        method=payment.method,
        at=now,
        by=actor.name,
        undoes=payment,
    )
    log_entry(
        payment.entry,
        Action.PAYMENT_UNDONE,
        actor,
        now,
        {"cents": payment.amount_cents, "method": payment.method},
    )
    return back


@transaction.atomic
def check_in(*, entry: Entry, actor: Actor, now: datetime) -> Entry:
    """The player stands at the table. Twice is once. Raises EntryRefused for anybody who is not confirmed."""
    entry = locked(entry)
    if entry.checked_in_at is not None:
        return entry
    if entry.status != Status.CONFIRMED:
        why = "the fee is not paid" if entry.status == Status.APPLIED else Status(entry.status).label
        raise EntryRefused(f"{entry.person} cannot be checked in: {why}.")
    entry.checked_in_at, entry.checked_in_by = now, actor.name
    save_fields(entry, "checked_in_at", "checked_in_by")
    log_entry(entry, Action.CHECKED_IN, actor, now)
    return entry


@transaction.atomic
def undo_check_in(*, entry: Entry, actor: Actor, now: datetime) -> Entry:
    entry = locked(entry)
    if entry.checked_in_at is None:
        return entry
    before = entry.checked_in_at
    entry.checked_in_at, entry.checked_in_by = None, ""
    save_fields(entry, "checked_in_at", "checked_in_by")
    log_entry(entry, Action.CHECKIN_UNDONE, actor, now, {"was": before.isoformat()})
    return entry


@transaction.atomic
def set_pack_given(*, entry: Entry, given: bool, actor: Actor, now: datetime) -> Entry:
    entry = locked(entry)
    if (entry.pack_given_at is not None) == given:
        return entry
    entry.pack_given_at = now if given else None
    save_fields(entry, "pack_given_at")
    log_entry(entry, Action.PACK_GIVEN if given else Action.PACK_RETURNED, actor, now, {"pack": entry.pack})
    return entry


@transaction.atomic
def set_guardian(*, entry: Entry, guardian: str, actor: Actor, now: datetime) -> Entry:
    """Record who accompanies a junior; the name itself stays out of the log."""
    entry = locked(entry)
    entry.guardian = guardian.strip()
    save_fields(entry, "guardian")
    log_entry(entry, Action.GUARDIAN_SET, actor, now, {"recorded": bool(entry.guardian)})
    return entry


@transaction.atomic
def set_conduct_signed(*, entry: Entry, signed: bool, actor: Actor, now: datetime) -> Entry:
    entry = locked(entry)
    if (entry.conduct_signed_at is not None) == signed:
        return entry
    entry.conduct_signed_at = now if signed else None
    save_fields(entry, "conduct_signed_at")
    log_entry(entry, Action.CONDUCT_SIGNED, actor, now, {"signed": signed})
    return entry


def locked(entry: Entry) -> Entry:
    """The row as it stands now, locked: a page may show an older one."""
    return (
        Entry.objects.select_for_update(of=("self",))
        .select_related("event", "person", "division")
        .get(pk=entry.pk)
    )


def save_fields(entry: Entry, *fields: str) -> None:
    """A narrow write that raises the version, so that an edit form opened before shows as stale."""
    Entry.objects.filter(pk=entry.pk).update(
        version=F("version") + 1, **{name: getattr(entry, name) for name in fields}
    )


def log_entry(
    entry: Entry,
    action: Action,
    actor: Actor,
    now: datetime,
    detail: dict[str, Any] | None = None,
    reason: str = "",
) -> None:
    record(
        chain=entry.event.slug,
        action=action,
        subject=f"{entry.person.name} · {entry.division.code}",
        actor=actor,
        now=now,
        detail={"entry": entry.pk, **(detail or {})},
        reason=reason,
    )
