"""The demo's found things: held, returned, given away, and a lost disc that had been taken."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from desk.demo.making import ACTOR, Demo
from events.draw.models import Seat, Sheet
from events.entries.models import Entry
from events.logistics.models import FoundThing
from events.logistics.services import hand_in, hand_over, settle_taken, was_taken
from events.setup.models import Round


@dataclass(frozen=True, slots=True)
class Left:
    """A thing found so long after the first start of round 1. `whose` counts its players, None: nobody is named on it;
    `written` is filled with that player's family name and member number."""

    minutes: int
    what: str
    hole: str
    found_by: str
    whose: int | None = None
    written: str = ""


LEFT = (
    Left(35, "orange mid-range disc", "4", "a marshal", 2, "{family}"),
    Left(60, "steel water bottle", "7", "the water helper"),
    Left(85, "white driver", "11", "a spotter", 5, "{number}"),
    Left(110, "grey sweater", "", "the card room"),
    Left(130, "yellow putter", "9", "a walker", 1, "{family} {number}"),
)
RETURNED, GIVEN_AWAY, TAKEN = 2, 1, 4  # places in LEFT
LATER, SETTLED = timedelta(minutes=20), timedelta(hours=3)
UNWRITTEN = "The group had not written the loss: the disc was back in time."


def add_found(demo: Demo, round_: Round) -> None:
    """What has been found by now, and what became of it; the putter had been picked up while its owner searched."""
    start = round_.first_start_at
    seats = Seat.objects.filter(sheet__round=round_, sheet__state=Sheet.State.PUBLISHED)
    players = [
        seat.entry for seat in seats.select_related("entry__person").order_by("group__number", "order")
    ]
    if not players:
        return
    for number, left in enumerate(LEFT):
        if start + timedelta(minutes=left.minutes) + LATER <= demo.now:
            _find(demo, round_, number, players)


def _find(demo: Demo, round_: Round, number: int, players: Sequence[Entry]) -> None:
    left = LEFT[number]
    at = round_.first_start_at + timedelta(minutes=left.minutes)
    owner = None if left.whose is None else players[left.whose % len(players)]
    thing = hand_in(
        event=demo.event,
        what=left.what,
        written=_written(left, owner),
        hole_label=left.hole,
        round=round_,
        found_by=left.found_by,
        actor=ACTOR,
        now=at,
    )
    returned, given_away = FoundThing.Outcome.RETURNED, FoundThing.Outcome.GIVEN_AWAY
    if number == RETURNED:
        hand_over(thing=thing, outcome=returned, to="", entry=owner, actor=ACTOR, now=at + LATER)
    elif number == GIVEN_AWAY:
        hand_over(thing=thing, outcome=given_away, to="the club", entry=None, actor=ACTOR, now=at + LATER)
    elif number == TAKEN and owner is not None:
        was_taken(thing=thing, entry=owner, actor=ACTOR, now=at + LATER)
        if at + SETTLED <= demo.now:
            settle_taken(thing=thing, reason=UNWRITTEN, actor=ACTOR, now=at + SETTLED)


def _written(left: Left, owner: Entry | None) -> str:
    if owner is None:
        return ""
    number = owner.person.member_number
    return left.written.format(family=owner.person.family_name, number=number or "").strip()
