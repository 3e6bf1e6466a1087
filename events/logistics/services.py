"""Handing in, handing over, and taking it back when it was a mistake."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.models import FoundThing
from events.logistics.queries import TAKEN_KEY, describe
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for


class FoundRefused(Exception):
    """It cannot be done as asked; the message is a sentence to show."""


@transaction.atomic
def hand_in(
    *,
    event: Event,
    what: str,
    written: str,
    hole_label: str,
    round: Round | None,
    found_by: str,
    actor: Actor,
    now: datetime,
) -> FoundThing:
    """Write down a thing that was found; it gets the next number. Raises FoundRefused without a word of what it is."""
    if not what.strip():
        raise FoundRefused("Say what was found.")
    Event.objects.select_for_update().get(pk=event.pk)  # one number after the other
    last = FoundThing.objects.filter(event=event).aggregate(last=Max("number"))["last"] or 0
    thing = FoundThing.objects.create(
        event=event,
        number=last + 1,
        what=what.strip()[:120],
        written=written.strip()[:120],
        hole_label=hole_label.strip()[:6],
        round=round,
        found_by=found_by.strip()[:80],
        found_at=now,
        entered_by=actor.name[:150],
    )
    _log(thing, Action.THING_FOUND, {}, actor, now)
    return thing


@transaction.atomic
def hand_over(
    *, thing: FoundThing, outcome: str, to: str, entry: Entry | None, actor: Actor, now: datetime
) -> FoundThing:
    """It goes back to its owner, or to somebody else after nobody came. Raises FoundRefused when it is gone already,
    or when nobody is named. `entry` is the owner where it is one who plays, whose name then stands for `to`."""
    held = _locked(thing)
    name = (entry.person.name if entry else to).strip()
    if not held.held:
        raise FoundRefused(
            f"No. {held.number} is {held.get_outcome_display()} already, to {held.outcome_to}."
        )
    if outcome not in {FoundThing.Outcome.RETURNED, FoundThing.Outcome.GIVEN_AWAY}:
        raise FoundRefused("Choose returned or given away.")
    if not name:
        raise FoundRefused(f"Say who has no. {held.number} now.")
    held.outcome, held.outcome_to, held.outcome_entry = outcome, name[:120], entry
    held.outcome_at, held.outcome_by = now, actor.name[:150]
    _save_outcome(held)
    _log(held, Action.THING_HANDED_OVER, {"outcome": outcome, "to": held.outcome_to}, actor, now)
    return held


@transaction.atomic
def hold_again(*, thing: FoundThing, actor: Actor, now: datetime) -> FoundThing:
    """Undo the handing over. Raises FoundRefused for a thing that is held."""
    held = _locked(thing)
    if held.held:
        raise FoundRefused(f"No. {held.number} is held.")
    detail = {"outcome": held.outcome, "to": held.outcome_to}
    held.outcome, held.outcome_to, held.outcome_entry = FoundThing.Outcome.HELD, "", None
    held.outcome_at, held.outcome_by = None, ""
    _save_outcome(held)
    _log(held, Action.THING_HELD_AGAIN, detail, actor, now)
    return held


@transaction.atomic
def was_taken(*, thing: FoundThing, entry: Entry, actor: Actor, now: datetime) -> FoundThing:
    """The disc had been taken, and its owner had played it as lost: the card room is told.

    Raises FoundRefused after the event is over, the last moment for it.
    """
    held = _locked(thing)
    rule = rulebook_for(held.event).value(TAKEN_KEY).citation
    if held.event.over_at is not None:
        raise FoundRefused(f"The event is over: a lost disc changes no score any more ({rule}).")
    held.taken_from, held.taken_settled_at, held.taken_settled_by = entry, None, ""
    _save_taken(held)
    _log(held, Action.THING_TAKEN, {"from": entry.person.name, "rule": rule}, actor, now)
    return held


@transaction.atomic
def settle_taken(*, thing: FoundThing, reason: str, actor: Actor, now: datetime) -> FoundThing:
    """No ruling will give throws back: the loss was never on the card, or it was put right there. A ruling settles it
    by itself. Raises FoundRefused where nothing waits, and without a reason."""
    held = _locked(thing)
    if not held.taken_open:
        raise FoundRefused(f"Nothing waits for no. {held.number}.")
    if not reason.strip():
        raise FoundRefused(f"Say why no. {held.number} needs no ruling.")
    held.taken_settled_at, held.taken_settled_by = now, actor.name[:150]
    _save_taken(held)
    _log(held, Action.THING_TAKEN_SETTLED, {}, actor, now, reason=reason.strip()[:200])
    return held


@transaction.atomic
def was_not_taken(*, thing: FoundThing, actor: Actor, now: datetime) -> FoundThing:
    """Undo the word that it was taken. Raises FoundRefused where nobody said so."""
    held = _locked(thing)
    if held.taken_from is None:
        raise FoundRefused(f"Nobody said that no. {held.number} was taken.")
    detail = {"from": held.taken_from.person.name}
    held.taken_from, held.taken_settled_at, held.taken_settled_by = None, None, ""
    _save_taken(held)
    _log(held, Action.THING_NOT_TAKEN, detail, actor, now)
    return held


def _locked(thing: FoundThing) -> FoundThing:
    return FoundThing.objects.select_for_update(of=("self",)).select_related("event").get(pk=thing.pk)


def _save_outcome(thing: FoundThing) -> None:
    thing.save(update_fields=["outcome", "outcome_to", "outcome_entry", "outcome_at", "outcome_by"])


def _save_taken(thing: FoundThing) -> None:
    thing.save(update_fields=["taken_from", "taken_settled_at", "taken_settled_by"])


def _log(  # everybody on the staff reads it, for good: neither what is written on a thing nor who found it
    thing: FoundThing,
    action: Action,
    detail: Mapping[str, object],
    actor: Actor,
    now: datetime,
    *,
    reason: str = "",
) -> None:
    record(
        chain=thing.event.slug,
        action=action,
        subject=f"no. {thing.number}, {describe(thing)}",
        actor=actor,
        now=now,
        detail=dict(detail),
        reason=reason,
    )
