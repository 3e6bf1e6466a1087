"""A draft taken in hand: its groups in memory, what a change touches written back, and the way back kept."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from events.course.models import LayoutHole
from events.draw.models import Group, Seat, Sheet
from events.draw.placing import DrawRefused
from events.draw.services import claim_draft
from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record

MOST_UNDO = 100
BY_HAND = "Changed by hand. "

# A group as plain JSON: pool, layout, start, moment, second, how, entries in throwing order.
Row = list[Any]


class EditRefused(DrawRefused):
    """The change cannot be made; the message is a sentence for the page."""


@dataclass(slots=True)
class Hand:
    """One change in the making. `what` says it in words; `groups` by number, `members` in throwing order."""

    sheet: Sheet
    groups: dict[int, Group]
    members: dict[int, list[int]]
    names: dict[int, str]
    what: str = ""
    touched: set[int] = field(default_factory=set)

    def group(self, number: int) -> Group:
        if number not in self.groups:
            raise EditRefused(f"There is no group {number}.")
        return self.groups[number]

    def home_of(self, entry_id: int) -> int | None:
        """The number of the player's group; None for somebody who has no place yet. Raises EditRefused."""
        for number, line in self.members.items():
            if entry_id in line:
                return number
        self.name_of(entry_id)
        return None

    def name_of(self, entry_id: int) -> str:
        if entry_id not in self.names:
            entry = Entry.objects.filter(event=self.sheet.round.event_id, pk=entry_id)
            found = entry.select_related("person").first()
            if found is None:
                raise EditRefused("There is no such player at this event.")
            self.names[entry_id] = found.person.name
        return self.names[entry_id]

    def start_labelled(self, layout_id: int, label: str) -> LayoutHole:
        hole = LayoutHole.objects.filter(layout=layout_id, label__iexact=label).first()
        if hole is None:
            raise EditRefused(f"The layout has no hole {label}.")
        return hole

    def new_number(self) -> int:
        """One more than any group of the round ever had: cards are filed under the number."""
        last = Group.objects.filter(sheet__round=self.sheet.round).aggregate(last=Max("number"))["last"]
        return max(last or 0, *self.groups, 0) + 1

    def state(self) -> dict[int, Row]:
        return {
            number: [
                group.pool_id,
                group.layout_id,
                group.start_id,
                group.starts_at.isoformat(),
                group.second,
                group.how,
                list(self.members[number]),
            ]
            for number, group in self.groups.items()
        }

    def put(self, number: int, row: Row) -> None:
        """Set a group to a row of `state`."""
        group = self.groups.get(number) or Group(sheet=self.sheet, number=number)
        group.pool_id, group.layout_id, group.start_id = row[0], row[1], row[2]
        group.starts_at, group.second, group.how = datetime.fromisoformat(row[3]), row[4], row[5]
        self.groups[number], self.members[number] = group, list(row[6])


def take_in_hand(sheet: Sheet) -> Hand:
    """2 queries."""
    groups = {group.number: group for group in Group.objects.filter(sheet=sheet).order_by("number")}
    members: dict[int, list[int]] = {number: [] for number in groups}
    names = {}
    seats = Seat.objects.filter(sheet=sheet).select_related("group", "entry__person").order_by("order")
    for seat in seats:
        members[seat.group.number].append(seat.entry_id)
        names[seat.entry_id] = seat.entry.person.name
    return Hand(sheet, groups, members, names)


@contextmanager
def by_hand(*, sheet: Sheet, revision: int | None, actor: Actor, now: datetime) -> Iterator[Hand]:
    """One change of a draft: whatever is done to the hand inside is written, logged and can be undone.

    Raises SheetStale where `revision` is not the one of the draft.
    """
    with transaction.atomic():
        hand = take_in_hand(claim_draft(sheet.pk, revision))
        before = hand.state()
        yield hand
        for number in hand.touched & hand.groups.keys():
            group = hand.groups[number]
            if not group.how.startswith(BY_HAND):
                group.how = (BY_HAND + group.how)[:300]
        changed = write(hand, before)
        if not changed:
            return
        hand.sheet.undo = [*hand.sheet.undo, {"what": hand.what, "groups": changed}][-MOST_UNDO:]
        _finish(hand, Action.DRAW_EDITED, changed, actor, now)


def undo(*, sheet: Sheet, revision: int | None, actor: Actor, now: datetime) -> str:
    """Take the last change back; returns what was taken back. Raises EditRefused, SheetStale."""
    with transaction.atomic():
        hand = take_in_hand(claim_draft(sheet.pk, revision))
        if not hand.sheet.undo:
            raise EditRefused("There is nothing to undo.")
        before = hand.state()
        *rest, last = hand.sheet.undo
        for text, row in last["groups"].items():
            if row is None:
                hand.groups.pop(int(text), None)
                hand.members.pop(int(text), None)
            else:
                hand.put(int(text), row)
        hand.what, hand.sheet.undo = last["what"], rest
        _finish(hand, Action.DRAW_UNDONE, write(hand, before), actor, now)
        return hand.what


def write(hand: Hand, before: dict[int, Row]) -> dict[str, Row | None]:
    """Write the groups that differ from `before`; returns what those were, None for one that is new."""
    after = hand.state()
    numbers = [n for n in sorted({*before, *after}) if before.get(n) != after.get(n)]
    Seat.objects.filter(sheet=hand.sheet, group__number__in=numbers).delete()
    Group.objects.filter(sheet=hand.sheet, number__in=[n for n in numbers if n not in after]).delete()
    for number in numbers:
        if number in after:
            hand.groups[number].save()
    Seat.objects.bulk_create(
        Seat(sheet=hand.sheet, group=hand.groups[number], entry_id=entry_id, order=order)
        for number in numbers
        for order, entry_id in enumerate(hand.members.get(number, ()), start=1)
    )
    return {str(number): before.get(number) for number in numbers}


def _finish(hand: Hand, action: Action, changed: dict[str, Row | None], actor: Actor, now: datetime) -> None:
    sheet = hand.sheet
    sheet.revision += 1
    sheet.save(update_fields=["undo", "revision"])
    record(
        chain=sheet.round.event.slug,
        action=action,
        subject=str(sheet.round),
        actor=actor,
        now=now,
        detail={"what": hand.what, "before": changed, "revision": sheet.revision},
    )
