"""Items of a day: adding, changing, taking out, and putting back."""

from dataclasses import dataclass
from datetime import date, datetime, time

from django.core.exceptions import ValidationError
from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.running.laying import Item
from events.logistics.running.models import RunItem
from events.setup.models import Event, Round


class ItemRefused(Exception):
    """It cannot be kept so; the message is a sentence to show."""


@dataclass(frozen=True, slots=True)
class ItemFacts:
    """An item as it was typed. `minutes` after the anchor, before it negative; `lasts` in minutes, 0 for a moment."""

    label: str
    lane: str
    owner: str
    place: str
    anchor: str
    round: Round | None
    clock: time | None
    minutes: int
    lasts: int


@transaction.atomic
def save_item(
    *,
    event: Event,
    day: date,
    facts: ItemFacts,
    actor: Actor,
    now: datetime,
    pk: int | None = None,
    key: str = "",
) -> RunItem:
    """A new item, or the one of `pk` otherwise, or the usual one of `key` kept otherwise. Raises ItemRefused."""
    _refuse_when_over(Event.objects.select_for_update().get(pk=event.pk))  # one key is kept once
    item = _found(event, day, pk, key)
    before = "" if item.pk is None else str(item)
    for name in ItemFacts.__slots__:
        setattr(item, name, getattr(facts, name))
    item.label, item.owner, item.place = item.label.strip(), item.owner.strip(), item.place.strip()
    item.removed_at = None
    try:
        item.full_clean()
    except ValidationError as problem:
        raise ItemRefused(" ".join(problem.messages)) from problem
    item.save()
    _record(item, Action.RUN_ITEM_SAVED, actor, now, before=before)
    return item


@transaction.atomic
def remove_item(*, item: RunItem, actor: Actor, now: datetime) -> RunItem:
    """Take it out of the day; it can be put back. Raises ItemRefused when it is out."""
    _refuse_when_over(item.event)
    kept = _locked(item)
    if kept.removed_at is not None:
        raise ItemRefused(f"{kept.label} is out already.")
    kept.removed_at = now
    kept.save(update_fields=["removed_at"])
    _record(kept, Action.RUN_ITEM_REMOVED, actor, now)
    return kept


@transaction.atomic
def remove_usual(*, event: Event, day: date, usual: Item, actor: Actor, now: datetime) -> RunItem:
    """Take a usual item out of one day: kept as it is, and out. Raises ItemRefused."""
    name, number = usual.anchor
    facts = ItemFacts(
        label=usual.label,
        lane=usual.lane,
        owner=usual.owner,
        place=usual.place,
        anchor=name,
        round=Round.objects.filter(event=event, number=number).first() if number else None,
        clock=None,
        minutes=usual.minutes,
        lasts=usual.lasts,
    )
    kept = save_item(event=event, day=day, facts=facts, actor=actor, now=now, key=usual.key)
    return remove_item(item=kept, actor=actor, now=now)


@transaction.atomic
def restore_item(*, item: RunItem, actor: Actor, now: datetime) -> RunItem:
    """Put back what was taken out. Raises ItemRefused when it is there."""
    _refuse_when_over(item.event)
    kept = _locked(item)
    if kept.removed_at is None:
        raise ItemRefused(f"{kept.label} is there.")
    kept.removed_at = None
    kept.save(update_fields=["removed_at"])
    _record(kept, Action.RUN_ITEM_RESTORED, actor, now)
    return kept


def _found(event: Event, day: date, pk: int | None, key: str) -> RunItem:
    rows = RunItem.objects.select_for_update(of=("self",)).filter(event=event)
    if pk is not None:
        found = rows.filter(pk=pk).first()
        if found is None:
            raise ItemRefused("This item is gone: add it once more.")
        return found
    found = rows.filter(day=day, key=key).first() if key else None
    return found or RunItem(event=event, day=day, key=key)


def _locked(item: RunItem) -> RunItem:
    return RunItem.objects.select_for_update(of=("self",)).select_related("event").get(pk=item.pk)


def _refuse_when_over(event: Event) -> None:
    if event.over_at is not None:
        raise ItemRefused("The event is over: its days stay as they were.")


def _record(item: RunItem, action: Action, actor: Actor, now: datetime, **detail: str) -> None:
    record(
        chain=item.event.slug,
        action=action,
        subject=f"{item.label}, {item.day:%a %d %b}",
        actor=actor,
        now=now,
        detail={
            "anchor": item.anchor,
            "clock": f"{item.clock:%H:%M}" if item.clock else None,
            "minutes": item.minutes,
            "lasts": item.lasts,
            "owner": item.owner,
            **detail,
        },
    )
