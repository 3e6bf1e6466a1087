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
from events.log.models import Act
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.figures import money_text
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


class EventOver(EntryRefused):
    """The event was declared over: its report says who played."""


class MoneyMoved(EntryRefused):
    """What is owed is not what the page showed: somebody else took or gave money in between."""


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
    a division that the rules refuse. `facts`: pack, guardian, note. Raises NotEligible, AlreadyEntered, EventOver.
    """
    refuse_when_over(event)
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
        {"division": division.code, "paid_cents": paid_cents},
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
    *,
    entry: Entry,
    amount_cents: int,
    method: Payment.Method,
    actor: Actor,
    now: datetime,
    note: str = "",
    owed_seen: int | None = None,
    desk: str = "",
) -> Payment:
    """Money in. The moment of the payment that settles an applied entry becomes its order of entry.

    `owed_seen`: what the page showed as owed, in cents; raises MoneyMoved where that is no longer true, so that
    two desks never take the same money. `desk`: the browser session that acts, which its undo looks for.
    Raises EntryRefused for nothing, and for more than is owed.
    """
    entry = locked(entry, for_money=True)  # debts are settled after the event too; nobody gets in by that
    lets_in = entry.status == Status.APPLIED and entry.event.over_at is None
    owed = money_of(entry).owed
    if owed_seen is not None and owed != owed_seen:
        raise MoneyMoved(_money_moved(entry, owed))
    if amount_cents <= 0:
        raise EntryRefused("An amount taken is more than zero.")
    if amount_cents > owed:
        raise EntryRefused(f"{entry.person} owes {_figure(entry, max(0, owed))}: no more is taken.")
    payment = Payment.objects.create(
        entry=entry, amount_cents=amount_cents, method=method, at=now, by=actor.name, note=note
    )
    detail = {"payment": payment.pk, "amount_cents": amount_cents, "method": method.value}
    if lets_in:
        detail["order_was"] = entry.received_at.isoformat()
    log_entry(entry, Action.PAYMENT_TAKEN, actor, now, detail, desk=desk)
    if lets_in:
        entry.received_at = now
        save_fields(entry, "received_at")
        settle(entry=entry, rulebook=rulebook_for(entry.event), actor=actor, now=now)
    return payment


def _money_moved(entry: Entry, owed: int) -> str:
    """Who moved the money, as far as the ledger knows, and what is owed now."""
    last = Payment.objects.filter(entry=entry).order_by("-at", "-pk").first()
    rest = f"{entry.person} now owes {_figure(entry, owed)}." if owed > 0 else f"{entry.person} owes nothing."
    if last is None:
        return f"The amount changed. {rest}"
    what = "took" if last.amount_cents > 0 else "gave back"
    figure = _figure(entry, abs(last.amount_cents))
    return f"{last.by} {what} {figure} at {entry.event.local(last.at):%H:%M}. {rest}"


def _figure(entry: Entry, cents: int) -> str:
    return money_text(cents, entry.event.currency)


@transaction.atomic
def undo_payment(*, payment: Payment, actor: Actor, now: datetime, desk: str = "") -> Payment:
    """Take a payment back by a row of the opposite sign.

    Where this payment let the player in, and nobody checked them in since, the entry is applied again: nobody
    is registered without the fee (1.02.B). Otherwise, and after the event, the status stays and the desk sees
    what is owed.
    """
    payment = Payment.objects.select_for_update().select_related("entry").get(pk=payment.pk)
    if payment.undoes_id is not None or Payment.objects.filter(undoes=payment).exists():
        raise EntryRefused("This payment was undone already.")
    if payment.amount_cents < 0:
        raise EntryRefused("Money paid back is not undone here: take it again.")
    entry = locked(payment.entry, for_money=True)  # a slip of the keys is put right after the event too
    back = Payment.objects.create(
        entry=entry,
        amount_cents=-payment.amount_cents,
        method=payment.method,
        at=now,
        by=actor.name,
        undoes=payment,
    )
    detail = {"payment": payment.pk, "amount_cents": payment.amount_cents, "method": payment.method}
    log_entry(entry, Action.PAYMENT_UNDONE, actor, now, detail, desk=desk)
    _back_to_applied(entry, payment)
    return back


def _back_to_applied(entry: Entry, payment: Payment) -> None:
    let_in = entry.status in {Status.CONFIRMED, Status.WAITLISTED} and entry.received_at == payment.at
    stays = entry.checked_in_at is not None or entry.event.over_at is not None
    if not let_in or stays or money_of(entry).owed <= 0:
        return
    taken = Act.objects.filter(
        chain_id=entry.event.slug, action=Action.PAYMENT_TAKEN, detail__payment=payment.pk
    ).first()
    was = taken.detail.get("order_was") if taken else None
    entry.status = Status.APPLIED
    entry.received_at = datetime.fromisoformat(was) if was else entry.received_at
    save_fields(entry, "status", "received_at")


@transaction.atomic
def check_in(*, entry: Entry, actor: Actor, now: datetime, desk: str = "") -> Entry:
    """The player stands at the table. Twice is once. Raises EntryRefused for anybody who is not confirmed."""
    entry = locked(entry)
    if entry.checked_in_at is not None:
        return entry
    if entry.status != Status.CONFIRMED:
        why = "the fee is not paid" if entry.status == Status.APPLIED else Status(entry.status).label
        raise EntryRefused(f"{entry.person} cannot be checked in: {why}.")
    entry.checked_in_at, entry.checked_in_by = now, actor.name
    save_fields(entry, "checked_in_at", "checked_in_by")
    log_entry(entry, Action.CHECKED_IN, actor, now, desk=desk)
    return entry


@transaction.atomic
def undo_check_in(*, entry: Entry, actor: Actor, now: datetime, desk: str = "") -> Entry:
    entry = locked(entry)
    if entry.checked_in_at is None:
        return entry
    before = entry.checked_in_at
    entry.checked_in_at, entry.checked_in_by = None, ""
    save_fields(entry, "checked_in_at", "checked_in_by")
    log_entry(entry, Action.CHECKIN_UNDONE, actor, now, {"was": before.isoformat()}, desk=desk)
    return entry


@transaction.atomic
def set_pack_given(*, entry: Entry, given: bool, actor: Actor, now: datetime, desk: str = "") -> Entry:
    entry = locked(entry)
    if (entry.pack_given_at is not None) == given:
        return entry
    entry.pack_given_at = now if given else None
    save_fields(entry, "pack_given_at")
    action = Action.PACK_GIVEN if given else Action.PACK_RETURNED
    log_entry(entry, action, actor, now, {"pack": entry.pack}, desk=desk)
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
def set_conduct_signed(*, entry: Entry, signed: bool, actor: Actor, now: datetime, desk: str = "") -> Entry:
    entry = locked(entry)
    if (entry.conduct_signed_at is not None) == signed:
        return entry
    entry.conduct_signed_at = now if signed else None
    save_fields(entry, "conduct_signed_at")
    log_entry(entry, Action.CONDUCT_SIGNED, actor, now, {"signed": signed}, desk=desk)
    return entry


def locked(entry: Entry, *, for_money: bool = False) -> Entry:
    """The row as it stands now, locked: a page may show an older one.

    Raises EventOver, so that no service writes an entry of an event that is over; `for_money` is the one
    deliberate exception.
    """
    rows = Entry.objects.select_for_update(of=("self",)).select_related("event", "person", "division")
    found = rows.get(pk=entry.pk)
    if not for_money:
        refuse_when_over(found.event)
    return found


def refuse_when_over(event: Event) -> None:
    """Raises EventOver for an event that was declared over."""
    if event.over_at is not None:
        raise EventOver("The event is over: entries stay as they are. Money may still be paid or paid back.")


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
    *,
    desk: str = "",
) -> None:
    """`desk`: the browser session that acts, where the desk may undo it."""
    record(
        chain=entry.event.slug,
        action=action,
        subject=f"{entry.person.name} · {entry.division.code}",
        actor=actor,
        now=now,
        detail={"entry": entry.pk, **(detail or {}), **({"desk": desk} if desk else {})},
        reason=reason,
    )
