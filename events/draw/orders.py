"""What is typed beside a player or a group, read as one change of the draft.

player: move to "3", to "hole 12B" (a new group), swap with "3.2" (second of group 3), out, earlier, later
group:  move to "12B", "09:40" or both, swap with "3"
"""

import re
from dataclasses import dataclass
from datetime import datetime
from typing import TypedDict

from events.draw import editing
from events.draw.hand import EditRefused
from events.draw.models import Seat, Sheet
from events.log.services import Actor

_WHO = re.compile(r"([pg])(\d{1,12})")
_GROUP = re.compile(r"(?:group |g)?(\d{1,5})", re.IGNORECASE)
_NEW = re.compile(r"(?:hole|new) +(\S{1,6})", re.IGNORECASE)
_SEAT = re.compile(r"(\d{1,5})\.(\d{1,2})")


@dataclass(frozen=True, slots=True)
class Order:
    """`who` is p and an entry's id, or g and a group's number; `do` is a word of the form; `to` is typed."""

    who: str
    do: str
    to: str = ""


class By(TypedDict):
    """What every change is told besides what it does."""

    sheet: Sheet
    revision: int | None
    actor: Actor
    now: datetime


def carry_out(*, order: Order, sheet: Sheet, revision: int | None, actor: Actor, now: datetime) -> str:
    """Do what was typed; returns it in one sentence. Raises EditRefused, SheetStale."""
    who = _WHO.fullmatch(order.who)
    if who is None:
        raise EditRefused("Choose a player or a group first.")
    by = By(sheet=sheet, revision=revision, actor=actor, now=now)
    number, to = int(who[2]), order.to.strip()
    if who[1] == "g":
        return _group(number, order.do, to, by)
    return _player(number, order.do, to, sheet, by)


def _group(number: int, do: str, to: str, by: By) -> str:
    if do == "move":
        return editing.move_group(group=number, to=to, **by)
    if do == "swap":
        other = _GROUP.fullmatch(to)
        if other is None:
            raise EditRefused("Write the number of the group to exchange with.")
        return editing.swap_groups(one=number, other=int(other[1]), **by)
    raise EditRefused("A group is moved or swapped.")


def _player(entry_id: int, do: str, to: str, sheet: Sheet, by: By) -> str:
    if do == "move":
        new, group = _NEW.fullmatch(to), _GROUP.fullmatch(to)
        if new:
            return editing.move_to_new_group(entry_id=entry_id, label=new[1], **by)
        if group:
            return editing.move_player(entry_id=entry_id, group=int(group[1]), **by)
        raise EditRefused("Write a group number, or hole and its label for a new group.")
    if do == "swap":
        return editing.swap_players(one=entry_id, other=_other(sheet, to), **by)
    if do == "out":
        return editing.take_out(entry_id=entry_id, **by)
    if do in {"earlier", "later"}:
        return editing.shift_player(entry_id=entry_id, step=-1 if do == "earlier" else 1, **by)
    raise EditRefused("A player is moved, swapped or taken out.")


def _other(sheet: Sheet, to: str) -> int:
    """The entry that "3.2" (second player of group 3) or p and an id stands for."""
    who, seat = _WHO.fullmatch(to), _SEAT.fullmatch(to)
    if who and who[1] == "p":
        return int(who[2])
    if seat:
        found = Seat.objects.filter(sheet=sheet, group__number=int(seat[1]), order=int(seat[2])).first()
        if found is not None:
            return found.entry_id
    raise EditRefused("Write with whom: 3.2 is the second player of group 3.")
