"""Undo at the desk: the last act of one browser session that is still in force, found in the log.

Two desks may share an account, so the account is not enough: each act carries the session's mark in `desk`.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from events.entries.models import Entry, Payment
from events.entries.services import (
    EntryRefused,
    set_conduct_signed,
    set_pack_given,
    undo_check_in,
    undo_payment,
)
from events.log.actions import Action
from events.log.models import Act
from events.log.services import Actor
from events.setup.figures import money_text
from events.setup.models import Event

UNDOABLE = (Action.CHECKED_IN, Action.PAYMENT_TAKEN, Action.PACK_GIVEN, Action.CONDUCT_SIGNED)
LOOK_BACK = 20  # acts: further back nobody remembers what Ctrl+Z would take back


class NothingToUndo(EntryRefused):
    """This session did nothing here that still stands."""


@dataclass(frozen=True, slots=True)
class LastAct:
    """An act that still stands. `words`: what was done to whom; `payment` where it took money."""

    number: int
    action: Action
    entry: Entry
    words: str
    payment: Payment | None = None


def last_act(event: Event, desk: str) -> LastAct | None:
    """The newest act of this session that still stands (1 query; 3 where the session has acted and taken money)."""
    if not desk:
        return None
    mine = Act.objects.filter(chain_id=event.slug, action__in=UNDOABLE, detail__desk=desk)
    acts = list(mine.order_by("-number")[:LOOK_BACK])
    if not acts:
        return None
    ids = {act.detail["entry"] for act in acts}
    entries = Entry.objects.select_related("event", "person", "division").in_bulk(ids)
    payments = Payment.objects.filter(
        pk__in=[act.detail.get("payment") for act in acts], undone_by__isnull=True
    ).in_bulk()
    for act in acts:
        entry = entries.get(act.detail["entry"])
        payment = payments.get(act.detail.get("payment", 0))
        if entry is not None and _stands(act, entry, payment):
            return LastAct(act.number, Action(act.action), entry, _words(act, entry), payment)
    return None


@transaction.atomic
def undo_last(*, event: Event, desk: str, actor: Actor, now: datetime, number: int | None = None) -> LastAct:
    """Take back the newest act of this session that still stands; answers what was undone.

    `number`: the act that the page offered to undo. Raises NothingToUndo, also where that one no longer stands:
    nothing else is undone in its place.
    """
    found = last_act(event, desk)
    if found is None:
        raise NothingToUndo("Nothing of yours is left to undo.")
    if number is not None and found.number != number:
        raise NothingToUndo("That was undone already. Nothing else was touched.")
    if found.payment is not None:
        undo_payment(payment=found.payment, actor=actor, now=now, desk=desk)
    elif found.action == Action.CHECKED_IN:
        undo_check_in(entry=found.entry, actor=actor, now=now, desk=desk)
    elif found.action == Action.PACK_GIVEN:
        set_pack_given(entry=found.entry, given=False, actor=actor, now=now, desk=desk)
    else:
        set_conduct_signed(entry=found.entry, signed=False, actor=actor, now=now, desk=desk)
    return found


def _stands(act: Act, entry: Entry, payment: Payment | None) -> bool:
    """Whether what the act did is still so: each moment that an entry keeps is the moment of its act."""
    if act.action == Action.PAYMENT_TAKEN:
        return payment is not None
    kept = {
        Action.CHECKED_IN: entry.checked_in_at,
        Action.PACK_GIVEN: entry.pack_given_at,
        Action.CONDUCT_SIGNED: entry.conduct_signed_at,
    }
    return kept[Action(act.action)] == act.at


def _words(act: Act, entry: Entry) -> str:
    name = entry.person.name
    if act.action == Action.PAYMENT_TAKEN:
        figure = money_text(act.detail["amount_cents"], entry.event.currency)
        return f"{figure} from {name}"
    what = {
        Action.CHECKED_IN: "checked in",
        Action.PACK_GIVEN: "pack given",
        Action.CONDUCT_SIGNED: "conduct note signed",
    }
    return f"{name}, {what[Action(act.action)]}"
