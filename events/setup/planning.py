"""Whole tables of the plan saved at once, all or nothing, as the plan page sends them."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db import transaction

from events.log.services import Actor
from events.setup.models import AddOn, Division, Event, Round
from events.setup.rows import PlanError
from events.setup.services import (
    NotThere,
    claim,
    remove_addon,
    remove_division,
    remove_round,
    set_addon,
    set_division,
    set_round,
)


class Twice(PlanError):
    """One thing stands in two rows of a table."""


@dataclass(frozen=True, slots=True)
class DivisionRow:
    code: str
    fee_cents: int
    cap: int | None
    order: int | None


@dataclass(frozen=True, slots=True)
class RoundRow:
    number: int
    date: date
    start_type: str
    first_start: time
    interval_minutes: int


@dataclass(frozen=True, slots=True)
class AddOnRow:
    """`pk` is None for a new add-on."""

    pk: int | None
    name: str
    kind: str
    fee_cents: int
    included: bool


@transaction.atomic
def save_divisions(
    *,
    event: Event,
    version: int,
    rows: Sequence[DivisionRow],
    removed: Collection[str],
    actor: Actor,
    now: datetime,
) -> int:
    """How many divisions were added, changed or removed.

    Raises Stale, UnknownDivision, InUse, NotThere, and Twice where one code stands in two rows.
    """
    codes = [row.code for row in rows]
    twice = sorted({code for code in codes if codes.count(code) > 1})
    if twice:
        raise Twice(f"{', '.join(twice)} stands in two rows.")
    held = {
        found.code: DivisionRow(found.code, found.fee_cents, found.cap, found.order)
        for found in Division.objects.filter(event=event)
    }
    changed = [row for row in rows if row != held.get(row.code)]
    if not changed and not removed:
        return 0
    claim(event=event, version=version)
    for code in removed:
        remove_division(event=event, code=code, actor=actor, now=now)
    for row in changed:
        set_division(
            event=event,
            code=row.code,
            fee_cents=row.fee_cents,
            cap=row.cap,
            order=row.order,
            actor=actor,
            now=now,
        )
    return len(changed) + len(removed)


@transaction.atomic
def save_rounds(
    *,
    event: Event,
    version: int,
    rows: Sequence[RoundRow],
    removed: Collection[int],
    actor: Actor,
    now: datetime,
) -> int:
    """How many rounds were added, changed or removed. Raises Stale, RoundOutOfTurn, InUse, NotThere."""
    held = {
        found.number: RoundRow(
            found.number, found.date, found.start_type, found.first_start, found.interval_minutes
        )
        for found in Round.objects.filter(event=event)
    }
    changed = [row for row in rows if row != held.get(row.number)]
    if not changed and not removed:
        return 0
    claim(event=event, version=version)
    for number in sorted(removed, reverse=True):
        remove_round(event=event, number=number, actor=actor, now=now)
    for row in sorted(changed, key=lambda row: row.number):
        set_round(
            event=event,
            number=row.number,
            date=row.date,
            start_type=row.start_type,
            first_start=row.first_start,
            interval_minutes=row.interval_minutes,
            actor=actor,
            now=now,
        )
    return len(changed) + len(removed)


@transaction.atomic
def save_addons(
    *,
    event: Event,
    version: int,
    rows: Sequence[AddOnRow],
    removed: Collection[int],
    actor: Actor,
    now: datetime,
) -> int:
    """How many add-ons were added, changed or removed (`removed`: pk). Raises Stale, InUse, NotThere."""
    addons = {found.pk: found for found in AddOn.objects.filter(event=event)}
    held = {
        pk: AddOnRow(pk, found.name, found.kind, found.fee_cents, found.included)
        for pk, found in addons.items()
    }
    changed = [row for row in rows if row.pk is None or row != held.get(row.pk)]
    if not changed and not removed:
        return 0
    claim(event=event, version=version)
    for pk in [*removed, *(row.pk for row in changed if row.pk is not None)]:
        if pk not in addons:
            raise NotThere("This add-on is no longer there.")
    for pk in removed:
        remove_addon(event=event, name=addons[pk].name, actor=actor, now=now)
    for row in changed:
        set_addon(
            event=event,
            addon=AddOn(event=event) if row.pk is None else addons[row.pk],
            name=row.name,
            kind=row.kind,
            fee_cents=row.fee_cents,
            included=row.included,
            actor=actor,
            now=now,
        )
    return len(changed) + len(removed)
