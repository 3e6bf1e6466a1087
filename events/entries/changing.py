"""Changing an entry: the person's facts, the division, add-ons, notes. A page that is old is told so."""

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from events.entries.models import Entry, EntryAddOn, RatingSource, Status
from events.entries.services import (
    EntryRefused,
    EntryStale,
    NotEligible,
    locked,
    log_entry,
    placement_of,
    save_fields,
    settle,
    verdict_of,
)
from events.log.actions import Action
from events.log.models import Act
from events.log.services import Actor
from events.rulebook.loader import Rulebook
from events.setup.models import AddOn, Division
from events.setup.queries import rulebook_for
from players.models import Contact, Person

PERSON_FIELDS = (
    "given_name",
    "family_name",
    "member_number",
    "birth_year",
    "may_enter_f",
    "playing_class",
    "rating",
    "membership",
    "membership_expires",
    "town",
    "club",
)
CONTACT_FIELDS = ("email", "phone", "emergency_name", "emergency_phone")
ENTRY_FIELDS = ("pack", "note", "paid_elsewhere_cents")
PRIVATE_FIELDS = ("birth_year", "note")  # everybody on the staff reads the log

Changes = dict[str, dict[str, Any]]


@transaction.atomic
def change_entry(
    *,
    entry: Entry,
    version: int,
    actor: Actor,
    now: datetime,
    division: Division,
    addons: Collection[AddOn] = (),
    exception: str = "",
    reason: str = "",
    person: Mapping[str, Any],
    contact: Mapping[str, Any],
    guardian: str,
    **facts: Any,
) -> Entry:
    """The entry with new facts; `version` is the one that the page showed. No change: no line in the log.

    `person`, `contact`: values by the fields named above; `facts`: pack, note, paid_elsewhere_cents. Of
    contact, guardian, note and birth year the log says only that they changed. Raises EntryStale, NotEligible,
    EntryRefused, and django's ValidationError by field of the person.
    """
    entry = locked(entry)
    if entry.version != version:
        raise EntryStale(stale_words(entry))
    changes = _change_person(entry.person, person)
    changes |= _lay_over(entry, ENTRY_FIELDS, facts)
    if "rating" in changes:  # a figure corrected here is the one that counts for this entry
        entry.rating, entry.rating_source = entry.person.rating, RatingSource.ENTERED
    changes |= _change_exception(entry, exception, actor)
    if division.pk != entry.division_id:
        changes |= _change_division(entry, division, reason, now)
    changes |= _change_addons(entry, addons)
    private = [name.replace("_", " ") for name in PRIVATE_FIELDS if changes.pop(name, None)]
    private += _change_private(entry, contact, guardian)
    if not changes and not private:
        return entry
    save_fields(
        entry,
        *("division", "fee_cents", "exception", "exception_by", "guardian", "rating", "rating_source"),
        *ENTRY_FIELDS,
    )
    detail: dict[str, Any] = {**changes, **({"changed": private} if private else {})}
    log_entry(entry, Action.ENTRY_CHANGED, actor, now, detail, reason or exception)
    settle(entry=entry, rulebook=rulebook_for(entry.event), actor=actor, now=now)
    return entry


def stale_words(entry: Entry) -> str:
    """Who changed the entry last, when, and what they did (1 query)."""
    act = Act.objects.filter(chain_id=entry.event.slug, detail__entry=entry.pk).order_by("-number").first()
    if act is None:
        return "Somebody else changed this entry. Nothing was saved: look again, save again."
    when = f"{entry.event.local(act.at):%H:%M}"
    what = act.action_words
    return f"Changed by {act.actor} at {when} ({what}). Nothing was saved: look again, save again."


def _lay_over(target: Any, fields: Collection[str], values: Mapping[str, Any]) -> Changes:
    """Set what differs; answers old and new by field, as plain JSON."""
    changes: Changes = {}
    for name in fields:
        if name not in values or getattr(target, name) == values[name]:
            continue
        changes[name] = {"old": _plain(getattr(target, name)), "new": _plain(values[name])}
        setattr(target, name, values[name])
    return changes


def _plain(value: Any) -> Any:
    return value if value is None or isinstance(value, str | int | bool) else str(value)


def _change_person(person: Person, values: Mapping[str, Any]) -> Changes:
    changes = _lay_over(person, PERSON_FIELDS, values)
    if changes:
        person.full_clean()
        person.save(update_fields=list(changes))
    return changes


def _change_exception(entry: Entry, exception: str, actor: Actor) -> Changes:
    if exception == entry.exception:
        return {}
    changes = {"exception": {"old": entry.exception, "new": exception}}
    entry.exception, entry.exception_by = exception, actor.name if exception else ""
    return changes


def _change_division(entry: Entry, division: Division, reason: str, now: datetime) -> Changes:
    """Another division: its fee is charged, the rules are asked, and nobody jumps a waitlist by moving.

    Facts of the person and the exception are new already. Where the division stays the rules are not asked
    again: whoever was eligible at entry may stay (2.03).
    """
    rulebook = rulebook_for(entry.event)
    verdict = verdict_of(entry.event, entry.person, division, rulebook)
    if verdict.eligible is False and not entry.exception.strip():
        raise NotEligible(verdict)
    _refuse_late_change(entry, reason, now, rulebook)
    changes: Changes = {
        "division": {"old": entry.division.code, "new": division.code},
        "fee_cents": {"old": entry.fee_cents, "new": division.fee_cents},
    }
    entry.division, entry.fee_cents = division, division.fee_cents
    save_fields(entry, "division", "fee_cents")
    if entry.status == Status.CONFIRMED and placement_of(entry, rulebook).state == "waits":
        raise EntryRefused(f"{division.code} is full: raise its cap on the waitlist page first.")
    return changes


def _refuse_late_change(entry: Entry, reason: str, now: datetime, rulebook: Rulebook) -> None:
    """After the closing a change needs the director's reason (2.02.C)."""
    closing = entry.event.registration_closes_at
    if closing is None or now < closing or reason.strip():
        return
    rule = rulebook.value("entries.change_division_players_at_most")
    raise EntryRefused(
        f"Entries are closed. A change is for divisions of {rulebook.int(rule.key)} or fewer, before play "
        f"begins, and the director decides ({rule.citation}): say why."
    )


def _change_addons(entry: Entry, addons: Collection[AddOn]) -> Changes:
    """Only what is charged on top is chosen; what is part of the fee stays as it is."""
    sold = {
        each.addon_id: each
        for each in EntryAddOn.objects.filter(entry=entry, addon__included=False).select_related("addon")
    }
    wanted = {addon.pk: addon for addon in addons if not addon.included}
    if sold.keys() == wanted.keys():
        return {}
    EntryAddOn.objects.filter(pk__in=[each.pk for pk, each in sold.items() if pk not in wanted]).delete()
    EntryAddOn.objects.bulk_create(
        EntryAddOn(entry=entry, addon=addon) for pk, addon in wanted.items() if pk not in sold
    )
    old = ", ".join(sorted(each.addon.name for each in sold.values()))
    return {"add-ons": {"old": old, "new": ", ".join(sorted(addon.name for addon in wanted.values()))}}


def _change_private(entry: Entry, contact: Mapping[str, Any], guardian: str) -> list[str]:
    """Contact and guardian: which of them changed, never what they are."""
    changed = []
    if guardian != entry.guardian:
        entry.guardian = guardian
        changed.append("guardian")
    if not contact:
        return changed
    held = Contact.objects.filter(person=entry.person).first() or Contact(person=entry.person)
    if _lay_over(held, CONTACT_FIELDS, contact):
        held.save()
        changed.append("contact")
    return changed
