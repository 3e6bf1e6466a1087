"""Planning the prizes and posting the payout."""

import hashlib
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division, Event
from events.setup.over import hold_open
from events.setup.rows import apply_facts
from scoring.prizes.models import DivisionPlan, Payout, PrizePlan, TakenTable
from scoring.prizes.place_tables import TableRead, read_table, stored
from scoring.prizes.planning import purse_of
from scoring.prizes.posting import base_of, bases_in, changed_since, content_of, fingerprint

LARGEST_TABLE = 200_000  # bytes: a table of 200 places has 80,000


class PrizesRefused(Exception):
    """What was asked cannot be; the message is a sentence to show."""


class PrizesStale(PrizesRefused):
    """Somebody else changed it in between."""


@transaction.atomic
def plan_prizes(
    *, event: Event, version: int, added_cents: int, how: str, actor: Actor, now: datetime
) -> PrizePlan:
    """What belongs to the event as a whole; `version` is the one that the page showed, 0 for none yet.

    Raises PrizesStale, and PrizesRefused once the event is over. No change: no line in the log.
    """
    plan = _event_plan(event, version)
    changes = apply_facts(plan, {"added_cents": added_cents, "how": how.strip()})
    _save(plan, changes, version)
    if changes:
        record(
            chain=event.slug,
            action=Action.PRIZES_PLANNED,
            subject=event.name,
            actor=actor,
            now=now,
            detail=changes,
        )
    return plan


@transaction.atomic
def publish_fees(*, event: Event, at: datetime, actor: Actor, now: datetime) -> PrizePlan:
    """Keep when the fees inside the entry fee were published. Raises PrizesRefused for a moment that is to come."""
    if at > now:
        raise PrizesRefused("That moment is still to come: say it when the fees are published.")
    Event.objects.select_for_update().get(pk=event.pk)
    plan, _ = PrizePlan.objects.get_or_create(event=event)
    changes = apply_facts(plan, {"fees_published_at": at, "fees_published_by": actor.name[:150]})
    if changes:
        _save(plan, changes, plan.version)
        record(
            chain=event.slug,
            action=Action.PRIZE_FEES_PUBLISHED,
            subject=event.name,
            actor=actor,
            now=now,
            detail=changes,
        )
    return plan


@transaction.atomic
def plan_division(
    *, division: Division, version: int, facts: Mapping[str, Any], actor: Actor, now: datetime
) -> DivisionPlan:
    """What is chosen for one division; `facts` by field of `DivisionPlan`, `version` as the page showed it, 0 for none.

    Raises PrizesStale, PrizesRefused once the event is over, and django's ValidationError by field.
    """
    hold_open(division.event, PrizesRefused)
    Division.objects.select_for_update(of=("self",)).get(
        pk=division.pk
    )  # two first plans wait for each other
    plan = DivisionPlan.objects.filter(division=division).first()
    plan = plan or DivisionPlan(division=division)
    if version != (0 if plan._state.adding else plan.version):
        raise PrizesStale(f"The prizes of {division} were changed by somebody else: look again.")
    changes = apply_facts(plan, dict(facts))
    if not changes:
        return plan
    plan.full_clean()
    _save(plan, changes, version)
    record(
        chain=division.event.slug,
        action=Action.PRIZES_PLANNED,
        subject=division.code,
        actor=actor,
        now=now,
        detail={name: _in_words(pair) for name, pair in changes.items()},
    )
    return plan


@transaction.atomic
def plan_the_rest(*, event: Event, facts: Mapping[str, Any], actor: Actor, now: datetime) -> list[str]:
    """The same way for every division that has none: the codes that were planned. Raises as `plan_division`."""
    hold_open(event, PrizesRefused)
    planned = []
    for division in Division.objects.filter(event=event, dropped_at=None).order_by("order", "code"):
        plan = DivisionPlan.objects.filter(division=division).first()
        if plan is not None and (plan.method or plan.true_amateur):
            continue
        version = plan.version if plan is not None else 0
        plan_division(division=division, version=version, facts=facts, actor=actor, now=now)
        planned.append(division.code)
    return planned


def _in_words(pair: Mapping[str, Any]) -> dict[str, Any]:
    """A table by its name: rows of the log are plain."""
    return {side: str(value) if isinstance(value, TakenTable) else value for side, value in pair.items()}


def _event_plan(event: Event, version: int) -> PrizePlan:
    hold_open(event, PrizesRefused)
    plan = PrizePlan.objects.filter(event=event).first() or PrizePlan(event=event)
    if version != (0 if plan._state.adding else plan.version):
        raise PrizesStale("The prizes were changed by somebody else: look again.")
    return plan


def _save(plan: PrizePlan | DivisionPlan, changes: Mapping[str, Any], version: int) -> None:
    """A new plan whole, a changed one with its next version."""
    if plan._state.adding:
        plan.save(force_insert=True)
    elif changes:
        plan.version = version + 1
        plan.save(update_fields=[*changes, "version"])


@transaction.atomic
def take_table(
    *, event: Event, name: str, source: str, data: bytes, actor: Actor, now: datetime
) -> TakenTable:
    """Bring in a table of places, whole or not at all.

    Raises PrizesRefused for a table with any problem (`look_at` lists them), django's ValidationError for a name that
    is taken or a missing source, and `Refused` for bytes that are no csv.
    """
    found = look_at(data)
    if found.problems:
        raise PrizesRefused(f"The table has {len(found.problems)} problems: nothing was taken.")
    table = TakenTable(
        event=event,
        name=name.strip(),
        source=source.strip(),
        rows=stored(found.rows),
        sha256=hashlib.sha256(data).hexdigest(),
        taken_at=now,
        taken_by=actor.name[:150],
    )
    table.full_clean()
    table.save(force_insert=True)
    record(
        chain=event.slug,
        action=Action.PLACE_TABLE_TAKEN,
        subject=table.name,
        actor=actor,
        now=now,
        detail={"source": table.source, "rows": len(found.rows), "sha256": table.sha256},
    )
    return table


def look_at(data: bytes) -> TableRead:
    """A table before it is taken.

    Raises PrizesRefused for one that is too large, `Refused` for bytes that are no csv.
    """
    if len(data) > LARGEST_TABLE:
        raise PrizesRefused(
            "The file is too large for a table of places: choose the csv with the percentages."
        )
    return read_table(data)


@transaction.atomic
def post_payout(*, event: Event, actor: Actor, now: datetime) -> Payout:
    """Freeze the payout of every division as a version: from then on it is what is paid.

    Raises PrizesRefused while a division has no ladder, and where nothing changed since the last version.
    """
    Event.objects.select_for_update().get(pk=event.pk)
    purse = purse_of(event)
    without = [f"{each.code}: {each.problem}" for each in purse.divisions if each.ladder is None]
    if without:
        raise PrizesRefused(" ".join(without))
    bases = [base for each in purse.divisions if (base := base_of(each)) is not None]
    if not bases:
        raise PrizesRefused("No division is offered: there is nothing to post.")
    before = purse.posted
    if before is not None and not changed_since(bases_in(before.content), bases):
        raise PrizesRefused("The payout hangs already as it is planned.")
    content = content_of(bases, purse.added_in)
    payout = Payout.objects.create(
        event=event,
        number=before.number + 1 if before is not None else 1,
        content=content,
        sha256=fingerprint(content),
        posted_at=now,
        posted_by=actor.name[:150],
    )
    record(
        chain=event.slug,
        action=Action.PAYOUT_POSTED,
        subject=f"version {payout.number}",
        actor=actor,
        now=now,
        detail={"sha256": payout.sha256, **{f"{base.code}_cents": base.purse for base in bases}},
    )
    return payout
