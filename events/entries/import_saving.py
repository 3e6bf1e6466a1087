"""Writing a planned import in bulk: persons, contacts, entries, add-ons, places, and one act in the log."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from events.entries.caps import place
from events.entries.facts import applicants_of, caps_of
from events.entries.import_plan import Plan
from events.entries.import_rows import Wanted
from events.entries.models import Entry, EntryAddOn, ImportFile, Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from players.models import Contact, Person

_AT_ONCE = 400


def save_plan(
    *, event: Event, plan: Plan, file: ImportFile, book: Rulebook, actor: Actor, now: datetime
) -> None:
    """Save every row of a plan that has no blocking problem. Belongs inside a transaction."""
    new = [wanted for wanted in plan.rows if wanted.is_new]
    old = [wanted for wanted in plan.rows if not wanted.is_new]
    changes = {wanted.entry.pk: wanted.changes for wanted in old if wanted.is_changed}
    _save_persons(plan.rows)
    _save_contacts(plan.rows)
    _save_entries(new, old, actor)
    EntryAddOn.objects.bulk_create(
        (EntryAddOn(entry=wanted.entry, addon=addon) for wanted in plan.rows for addon in wanted.addons),
        batch_size=_AT_ONCE,
    )
    for pk, change in _place(event, plan.rows, book).items():
        changes.setdefault(pk, {}).update(change)
    _log(event, plan, file, changes, actor, now)


def _save_persons(rows: Iterable[Wanted]) -> None:
    new = [wanted.person for wanted in rows if wanted.person.pk is None]
    changed = [wanted for wanted in rows if wanted.person.pk is not None and wanted.person_changes]
    for person in (*new, *(wanted.person for wanted in changed)):
        person.index()
    Person.objects.bulk_create(new, batch_size=_AT_ONCE)
    if changed:
        fields = {name for wanted in changed for name in wanted.person_changes} | {"search_text", "sort_name"}
        Person.objects.bulk_update([wanted.person for wanted in changed], sorted(fields), batch_size=100)


def _save_contacts(rows: Iterable[Wanted]) -> None:
    new: list[Wanted] = []
    changed: list[Wanted] = []
    for wanted in rows:
        if wanted.contact is not None and wanted.contact_changes:
            wanted.contact.person = wanted.person
            (new if wanted.contact_is_new else changed).append(wanted)
    Contact.objects.bulk_create([wanted.contact for wanted in new if wanted.contact], batch_size=_AT_ONCE)
    if changed:
        fields = {name for wanted in changed for name in wanted.contact_changes}
        contacts = [wanted.contact for wanted in changed if wanted.contact]
        Contact.objects.bulk_update(contacts, sorted(fields), batch_size=100)


def _save_entries(new: Sequence[Wanted], old: Sequence[Wanted], actor: Actor) -> None:
    for wanted in (*new, *old):
        if "exception" in wanted.entry_changes:
            wanted.entry.exception_by = actor.name
    for wanted in new:
        wanted.entry.person = wanted.person
    Entry.objects.bulk_create([wanted.entry for wanted in new], batch_size=_AT_ONCE)
    changed = [wanted for wanted in old if wanted.is_changed]
    if changed:
        fields = {name for wanted in changed for name in wanted.entry_changes} | {"version", "exception_by"}
        for wanted in changed:
            wanted.entry.version += 1
        Entry.objects.bulk_update([wanted.entry for wanted in changed], sorted(fields), batch_size=100)


def _place(event: Event, rows: Iterable[Wanted], book: Rulebook) -> dict[int, dict[str, Any]]:
    """Give or refuse a place to everybody who is to get one, in the order of entry; the changed states of old
    entries by id."""
    asking = {wanted.entry.pk: wanted for wanted in rows if wanted.to_place}
    if not asking:
        return {}
    applicants = [
        replace(each, confirmed=True, holds_place=False) if each.key in asking else each
        for each in applicants_of(event, book)
    ]
    placed = place(applicants, caps_of(event))
    changes: dict[int, dict[str, Any]] = {}
    by_status: dict[Status, list[int]] = {Status.CONFIRMED: [], Status.WAITLISTED: []}
    for pk, wanted in asking.items():
        status = Status.WAITLISTED if placed[pk].state == "waits" else Status.CONFIRMED
        if wanted.entry.status != status:
            by_status[status].append(pk)
            if not wanted.is_new:
                changes[pk] = {"status": [str(wanted.entry.status), status.value]}
            wanted.entry.status = status
    for status, keys in by_status.items():
        for start in range(0, len(keys), _AT_ONCE):
            Entry.objects.filter(pk__in=keys[start : start + _AT_ONCE]).update(status=status)
    return changes


def _log(
    event: Event,
    plan: Plan,
    file: ImportFile,
    changes: dict[int, dict[str, Any]],
    actor: Actor,
    now: datetime,
) -> None:
    """One act: counts, the file's hash, what was left out, old and new values of what was there before."""
    states = Counter(wanted.entry.status for wanted in plan.rows if wanted.is_new)
    approved = [wanted for wanted in plan.rows if "exception" in wanted.entry_changes]
    detail = {
        "file": file.pk,
        "sha256": file.sha256,
        "new": plan.new,
        "updated": len(changes),
        "unchanged": len(plan.rows) - plan.new - len(changes),
        "left out": list(plan.left_out),
        "states of the new": {str(status): count for status, count in sorted(states.items())},
        "approved": {str(wanted.entry.pk): wanted.entry.exception for wanted in approved},
        "changes": {str(pk): change for pk, change in changes.items()},
    }
    record(
        chain=event.slug,
        action=Action.ENTRIES_IMPORTED,
        subject=file.name,
        actor=actor,
        now=now,
        detail={name: found for name, found in detail.items() if found not in ([], {})},
    )
