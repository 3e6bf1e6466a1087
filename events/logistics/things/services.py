"""Writing down what is needed and what is here. Every act can be taken back."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction

from events.course.models import Hole
from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.things.models import LineLength, Lot, Thing, ThingsPlan
from events.setup.models import Event

STEPS: Mapping[str, str] = {"packed": "packed_at", "on_site": "on_site_at", "returned": "returned_at"}
MOST = 100_000
LONGEST_LINE_M = 5_000


class ThingsRefused(Exception):
    """It cannot be done as asked; the message is a sentence to show."""


@transaction.atomic
def plan_things(
    *,
    event: Event,
    players: int | None,
    helpers: int | None,
    heat_c: int | None,
    actor: Actor,
    now: datetime,
) -> ThingsPlan:
    """What quantities rest on; None: not said, which is not nobody."""
    _one_at_a_time(event)
    plan, _ = ThingsPlan.objects.update_or_create(
        event=event, defaults={"players": players, "helpers": helpers, "heat_c": heat_c}
    )
    detail = {"players": players, "helpers": helpers, "heat_c": heat_c}
    _log(event, Action.THINGS_PLANNED, "quantities", detail, actor, now)
    return plan


@transaction.atomic
def set_line_length(
    *, hole: Hole, name: str, metres: int | None, actor: Actor, now: datetime
) -> LineLength | None:
    """How long a line's string is, 0 for an edge that is plain without; None: not known again."""
    event = _one_at_a_time(hole.event)
    if metres is not None and not 0 <= metres <= LONGEST_LINE_M:
        raise ThingsRefused(f"A line is 0 to {LONGEST_LINE_M:,} m long.")
    kept = None
    if metres is None:
        LineLength.objects.filter(hole=hole, name=name).delete()
    else:
        kept, _ = LineLength.objects.update_or_create(hole=hole, name=name, defaults={"metres": metres})
    _log(event, Action.LINE_MEASURED, f"{hole}, {name}", {"metres": metres}, actor, now)
    return kept


@transaction.atomic
def set_needed(*, event: Event, key: str, needed: int | None, actor: Actor, now: datetime) -> Thing:
    """The director's own number for a line; None: the computed one again. `key` is one of the list."""
    thing = thing_of(event, key)
    if needed is None and thing.key.startswith("own-"):
        raise ThingsRefused(f"Say how many of {thing} are needed: nothing computes it.")
    before, thing.needed = thing.needed, needed
    thing.save(update_fields=["needed"])
    detail = {"needed": {"old": before, "new": needed}}
    _log(event, Action.THING_NEEDED, str(thing), detail, actor, now)
    return thing


@transaction.atomic
def add_own(*, event: Event, name: str, needed: int, unit: str, actor: Actor, now: datetime) -> Thing:
    """A thing that no list names. Raises ThingsRefused without a name, and for one that is there already."""
    _one_at_a_time(event)
    named = " ".join(name.split())[:80]
    if not named:
        raise ThingsRefused("Say what it is.")
    own = Thing.objects.filter(event=event, key__startswith="own-")
    if own.filter(name__iexact=named, dropped_at=None).exists():
        raise ThingsRefused(f"{named} is on the list already.")
    thing = Thing.objects.create(
        event=event, key=f"own-{own.count() + 1}", name=named, unit=unit.strip()[:20], needed=needed
    )
    _log(event, Action.THING_ADDED, named, {"needed": needed}, actor, now)
    return thing


@transaction.atomic
def drop_own(*, thing: Thing, dropped: bool, actor: Actor, now: datetime) -> Thing:
    """Take an own thing off the list, or back onto it."""
    _one_at_a_time(thing.event)
    if not thing.key.startswith("own-"):
        raise ThingsRefused("A computed line stays: write 0 where none is needed.")
    thing.dropped_at = now if dropped else None
    thing.save(update_fields=["dropped_at"])
    action = Action.THING_DROPPED if dropped else Action.THING_BACK
    _log(thing.event, action, str(thing), {}, actor, now)
    return thing


@transaction.atomic
def add_lot(
    *,
    event: Event,
    key: str,
    count: int,
    way: str,
    whose: str,
    back_on: date | None,
    box: str,
    actor: Actor,
    now: datetime,
) -> Lot:
    """Some of a thing is here. Raises ThingsRefused for a count of none and for what is borrowed of nobody."""
    thing = thing_of(event, key)
    if not 0 < count <= MOST:
        raise ThingsRefused(f"Write how many, from 1 to {MOST:,}.")
    if way not in Lot.Way.values:
        raise ThingsRefused("Choose in stock, bought or borrowed.")
    borrowed = way == Lot.Way.BORROWED
    if borrowed and not whose.strip():
        raise ThingsRefused("Say of whom it is borrowed.")
    lot = Lot.objects.create(
        thing=thing,
        count=count,
        way=way,
        whose=whose.strip()[:80] if borrowed else "",
        back_on=back_on if borrowed else None,
        box=box.strip()[:20],
        by=actor.name[:150],
    )
    _log(event, Action.LOT_GOT, str(thing), {"lot": lot.pk, "count": count, "way": way}, actor, now)
    return lot


@transaction.atomic
def move_lot(*, lot: Lot, step: str, done: bool, box: str | None, actor: Actor, now: datetime) -> Lot:
    """Packed, on site or returned, or not after all. `box` None: the one that it is in stays.

    Raises ThingsRefused for another step, and for packing without naming the box.
    """
    held = _held(lot)
    field = STEPS.get(step)
    if field is None:
        raise ThingsRefused("Choose packed, on site or returned.")
    if box is not None:
        held.box = box.strip()[:20]
    if step == "packed" and done and not held.box:
        raise ThingsRefused("Say in which box it is packed.")
    setattr(held, field, now if done else None)
    held.save(update_fields=[field, "box"])
    detail = {"lot": held.pk, "step": step, "done": done, "box": held.box}
    _log(held.thing.event, Action.LOT_MOVED, str(held.thing), detail, actor, now)
    return held


@transaction.atomic
def remove_lot(*, lot: Lot, removed: bool, actor: Actor, now: datetime) -> Lot:
    """It was written by mistake, or it was not after all."""
    held = _held(lot)
    held.removed_at = now if removed else None
    held.save(update_fields=["removed_at"])
    action = Action.LOT_REMOVED if removed else Action.LOT_BACK
    _log(held.thing.event, action, str(held.thing), {"lot": held.pk, "count": held.count}, actor, now)
    return held


def thing_of(event: Event, key: str) -> Thing:
    """The row of a line, made when it is first touched; the event is locked until the end of the transaction."""
    _one_at_a_time(event)
    thing, _ = Thing.objects.get_or_create(event=event, key=key)
    return thing


def _one_at_a_time(event: Event) -> Event:
    return Event.objects.select_for_update().get(pk=event.pk)


def _held(lot: Lot) -> Lot:
    return Lot.objects.select_for_update(of=("self",)).select_related("thing__event").get(pk=lot.pk)


def _log(
    event: Event, action: Action, subject: str, detail: Mapping[str, object], actor: Actor, now: datetime
) -> None:
    record(chain=event.slug, action=action, subject=subject, actor=actor, now=now, detail=dict(detail))
