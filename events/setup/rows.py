"""One row of a plan written or removed, with its line in the log."""

from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, TypeVar

from django.db import models
from django.db.models import F

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event
from events.setup.over import hold_open

Record = TypeVar("Record", bound=models.Model)
GOES_WITH_IT = frozenset({"layout_uses", "pools"})  # of no weight of their own: removed with their row
WORDS = {"sold": ("sale", "sales")}  # where the name of the model would say little


class PlanError(Exception):
    """Something in the plan cannot be; the message is a sentence for the page."""


class InUse(PlanError):
    """The thing has entries, tee sheets or cards, so it cannot be removed."""


class PlanOver(PlanError):
    """The event is over, and its results rest on what was to change."""


def write_row(
    row: Record,
    facts: Mapping[str, Any],
    *,
    event: Event,
    action: Action,
    actor: Actor,
    now: datetime,
) -> Record:
    """Save a new or changed row of the plan and log it: what it is, or old → new. Unchanged: nothing.

    Raises PlanOver, and django's ValidationError by field.
    """
    fresh = row._state.adding
    changes = apply_facts(row, facts)
    if not fresh and not changes:
        return row
    hold_open(event, PlanOver)
    row.full_clean()
    if fresh:
        row.save(force_insert=True)
        changes = {name: plain(value) for name, value in facts.items()}
    else:
        row.save(update_fields=list(changes))
    raise_version(event)
    record(chain=event.slug, action=action, subject=str(row), actor=actor, now=now, detail=changes)
    return row


def remove_row(row: models.Model, *, event: Event, action: Action, actor: Actor, now: datetime) -> None:
    """Take a row out of the plan and log it. Raises PlanOver, and InUse where something hangs on it."""
    hold_open(event, PlanOver)
    held = held_by(row)
    if held:
        raise InUse(f"{row} has {held}, so it cannot be removed.")
    subject = f"{row} removed"
    row.delete()
    raise_version(event)
    record(chain=event.slug, action=action, subject=subject, actor=actor, now=now)


def held_by(row: models.Model) -> str:
    """What upper slices hang on a row, in words; empty if nothing."""
    for relation in row._meta.related_objects:
        if relation.name in GOES_WITH_IT:
            continue
        count = relation.related_model._default_manager.filter(**{relation.field.name: row}).count()
        if count:
            meta = relation.related_model._meta
            one, many = WORDS.get(relation.name, (meta.verbose_name, meta.verbose_name_plural))
            return f"{count} {one if count == 1 else many}"
    return ""


def raise_version(event: Event) -> None:
    Event.objects.filter(pk=event.pk).update(version=F("version") + 1)


def apply_facts(row: models.Model, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Set the facts on the row; what differed, by field, as plain JSON."""
    changes = {}
    for name, value in facts.items():
        old = getattr(row, name)
        if old != value:
            setattr(row, name, value)
            changes[name] = {"old": plain(old), "new": plain(value)}
    return changes


def plain(value: Any) -> Any:
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value
