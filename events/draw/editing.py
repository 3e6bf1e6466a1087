"""Changing a draft by hand: players between groups, groups between starts, and what is kept with a reason.

Nothing here keeps anybody from breaking a rule; the marks on the sheet say which rule it is. Refused is only
what has no meaning (a group that is not there, groups of two layouts exchanging their holes). Every function
returns what was done in one sentence and raises EditRefused or SheetStale.
"""

import re
from datetime import datetime, time, timedelta

from django.db import transaction

from events.course.queries import layout_of_divisions
from events.draw.hand import EditRefused, Hand, by_hand
from events.draw.marks import marks_of
from events.draw.models import Group, Pool, Sheet
from events.draw.queries import pools_of, view_of
from events.draw.services import claim_draft
from events.entries.models import Entry, Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import StartType
from events.setup.queries import rulebook_for

_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.]([0-5]\d)")


def move_player(
    *, sheet: Sheet, entry_id: int, group: int, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Put a player last in the throwing order of another group, or seat somebody who has no place yet."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        hand.group(group)
        name, home = hand.name_of(entry_id), hand.home_of(entry_id)
        if home == group:
            raise EditRefused(f"{name} is in group {group} already.")
        _leave(hand, entry_id, home)
        _sit(hand, entry_id, group)
        where = f"group {home}" if home else "no group"
        hand.what = f"{name}: {where} → group {group}"
        return hand.what


def move_to_new_group(
    *, sheet: Sheet, entry_id: int, label: str, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Begin a new group with one player on a hole of that player's layout."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        name, home = hand.name_of(entry_id), hand.home_of(entry_id)
        group = _new_group(hand, entry_id, home, label)
        _leave(hand, entry_id, home)
        hand.groups[group.number], hand.members[group.number] = group, []
        _sit(hand, entry_id, group.number)
        hand.what = f"{name}: new group {group.number} on hole {group.start.label}"
        return hand.what


def take_out(*, sheet: Sheet, entry_id: int, revision: int | None, actor: Actor, now: datetime) -> str:
    """Take a player off the sheet. A group that is left by its last player goes too."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        name, home = hand.name_of(entry_id), hand.home_of(entry_id)
        if home is None:
            raise EditRefused(f"{name} is in no group.")
        _leave(hand, entry_id, home)
        hand.what = f"{name}: out of group {home}"
        return hand.what


def swap_players(
    *, sheet: Sheet, one: int, other: int, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Exchange the places of two players; somebody without a place takes the other's."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        names = hand.name_of(one), hand.name_of(other)
        homes = hand.home_of(one), hand.home_of(other)
        if one == other:
            raise EditRefused("Choose two different players.")
        if homes == (None, None):
            raise EditRefused("Neither of the two is in a group.")
        for number in {home for home in homes if home}:
            line = hand.members[number]
            hand.members[number] = [{one: other, other: one}.get(entry, entry) for entry in line]
            hand.touched.add(number)
        for entry_id in {one, other}:
            if None in homes and hand.home_of(entry_id) is not None:
                _must_play(hand, entry_id)
        hand.what = f"{names[0]} and {names[1]} exchange their places"
        return hand.what


def shift_player(
    *, sheet: Sheet, entry_id: int, step: int, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Throw earlier (step -1) or later (step 1) on the first tee."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        name, home = hand.name_of(entry_id), hand.home_of(entry_id)
        if home is None:
            raise EditRefused(f"{name} is in no group.")
        line = hand.members[home]
        at = line.index(entry_id)
        to = max(0, min(len(line) - 1, at + step))
        line.insert(to, line.pop(at))
        hand.touched.add(home)
        hand.what = f"{name} throws {_nth(to + 1)} in group {home}"
        return hand.what


def move_group(
    *, sheet: Sheet, group: int, to: str, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Give a group another start: `to` is a hole of its layout, a time as 09:40, or both."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        found = hand.group(group)
        label, clock = _start_of(to)
        if label:
            found.start = hand.start_labelled(found.layout_id, label)
        if clock:
            event = hand.sheet.round.event
            day = event.local(found.starts_at)
            found.starts_at = event.at(day.date(), clock)
        found.second = _goes_second(hand, found)
        hand.touched.add(group)
        hand.what = f"Group {group} starts {_start_text(hand, found)}"
        return hand.what


def swap_groups(
    *, sheet: Sheet, one: int, other: int, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Exchange the starts of two groups of one layout. Each keeps its number, under which its card is filed."""
    with by_hand(sheet=sheet, revision=revision, actor=actor, now=now) as hand:
        first, second = hand.group(one), hand.group(other)
        if one == other:
            raise EditRefused("Choose two different groups.")
        if first.layout_id != second.layout_id:
            raise EditRefused(f"Groups {one} and {other} play different layouts.")
        for name in ("pool_id", "start_id", "starts_at", "second"):
            here, there = getattr(first, name), getattr(second, name)
            setattr(first, name, there)
            setattr(second, name, here)
        hand.touched |= {one, other}
        hand.what = f"Groups {one} and {other} exchange their starts"
        return hand.what


@transaction.atomic
def keep_breach(
    *, sheet: Sheet, key: str, reason: str, revision: int | None, actor: Actor, now: datetime
) -> str:
    """Keep what a rule speaks against, with a reason; an empty reason opens it again."""
    sheet = claim_draft(sheet.pk, revision)
    marks = {mark.key: mark for mark in marks_of(view_of(sheet), rulebook_for(sheet.round.event))}
    if key not in marks:
        raise EditRefused("This is mended already.")
    mark = marks[key]
    if not mark.can_be_kept:
        raise EditRefused(f"This cannot be kept: {mark.breach.text}")
    reason = reason.strip()
    kept = {held: why for held, why in sheet.accepted.items() if held in marks and held != key}
    sheet.accepted = {**kept, key: reason} if reason else kept
    sheet.revision += 1
    sheet.save(update_fields=["accepted", "revision"])
    record(
        chain=sheet.round.event.slug,
        action=Action.BREACH_ACCEPTED,
        subject=str(sheet.round),
        actor=actor,
        now=now,
        detail={"breach": mark.breach.text, "source": mark.breach.source, "kept": bool(reason)},
        reason=reason,
    )
    return f"Kept: {mark.breach.text}" if reason else f"Open again: {mark.breach.text}"


def _leave(hand: Hand, entry_id: int, home: int | None) -> None:
    if home is None:
        return
    hand.members[home].remove(entry_id)
    hand.touched.add(home)
    if not hand.members[home]:
        del hand.groups[home], hand.members[home]


def _sit(hand: Hand, entry_id: int, number: int) -> None:
    _must_play(hand, entry_id)
    hand.members[number].append(entry_id)
    hand.touched.add(number)


def _must_play(hand: Hand, entry_id: int) -> None:
    """Nobody who left the event is given a place."""
    status = Entry.objects.values_list("status", flat=True).get(pk=entry_id)
    if status != Status.CONFIRMED:
        raise EditRefused(f"{hand.names[entry_id]} does not play: {Status(status).label}.")


def _new_group(hand: Hand, entry_id: int, home: int | None, label: str) -> Group:
    entry = Entry.objects.select_related("division").get(pk=entry_id)
    layout = layout_of_divisions(hand.sheet.round).get(entry.division_id)
    if layout is None:
        raise EditRefused(f"No layout is chosen in this round for {entry.division.code}.")
    pool = hand.groups[home].pool if home else _pool_for(hand, entry)
    group = Group(
        sheet=hand.sheet,
        number=hand.new_number(),
        pool=pool,
        layout_id=layout,
        start=hand.start_labelled(layout, label),
        starts_at=pool.first_start_at,
    )
    if pool.start_type == StartType.TEE_TIMES:
        before = [found.starts_at for found in hand.groups.values() if found.pool_id == pool.pk]
        if before:
            group.starts_at = max(before) + timedelta(minutes=pool.interval_minutes)
    group.second = _goes_second(hand, group)
    return group


def _pool_for(hand: Hand, entry: Entry) -> Pool:
    """The pool that names the player's division, else the first."""
    pools = pools_of(hand.sheet.round)
    naming = [pool for pool in pools if entry.division in pool.divisions.all()]
    found = next(iter([*naming, *pools]), None)
    if found is None:
        raise EditRefused("The round has no pool.")
    return found


def _goes_second(hand: Hand, group: Group) -> bool:
    """Second on its hole, where the pool takes second groups and another stands there already."""
    return group.pool.second_groups and any(
        other.number != group.number
        and other.start_id == group.start_id
        and other.starts_at == group.starts_at
        and not other.second
        for other in hand.groups.values()
    )


def _start_of(text: str) -> tuple[str, time | None]:
    """Hole label and time of "12B", "09:40", "hole 10 09:40"."""
    label, clock = "", None
    for word in text.split():
        found = _CLOCK.fullmatch(word)
        if found:
            clock = time(int(found[1]), int(found[2]))
        elif word.lower() != "hole":
            if label:
                raise EditRefused("Write one hole, one time, or both: 12B, 09:40, 10 09:40.")
            label = word
    if not label and clock is None:
        raise EditRefused("Write where the group goes: a hole as 12B, or a time as 09:40.")
    return label, clock


def _start_text(hand: Hand, group: Group) -> str:
    hole = f"on hole {group.start.label}"
    if group.pool.start_type != StartType.TEE_TIMES:
        return hole
    return f"at {hand.sheet.round.event.local(group.starts_at):%H:%M} {hole}"


def _nth(number: int) -> str:
    return {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth"}.get(number, f"number {number}")
