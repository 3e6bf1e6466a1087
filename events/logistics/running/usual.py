"""What a day holds before anybody has written anything: play as planned, and what usually stands around it. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from events.course.round_length import length_words
from events.logistics.running.anchors import (
    CHECKIN_CLOSES,
    CHECKIN_OPENS,
    DAY_BEGINS,
    FIRST_START,
    LAST_START,
    OF_A_ROUND,
    ROUND_END,
    Anchor,
    Played,
)
from events.logistics.running.laying import DEADLINE, DESK, PLAY, Item

EACH_DAY, FIRST_ROUND, SHOTGUN, BETWEEN, LAST_DAY = (
    "each_day", "first_round", "shotgun", "between", "last_day",
)  # fmt: skip
ASSUMED = "usual, no source"
KEYS, KEYS_BEFORE = "keys", 15  # minutes before whoever comes first; common practice, no source
IN_PLAY = {"playoff"}  # of the usual items, those that are play


@dataclass(frozen=True, slots=True)
class Usual:
    """One row of `practice.run_of_the_day`."""

    key: str
    label: str
    owner: str
    when: str
    anchor: str
    minutes: int
    lasts: int


def usual_from(rows: Sequence[Mapping[str, Any]]) -> tuple[Usual, ...]:
    return tuple(Usual(**row) for row in rows)


def play_of(rounds: Sequence[Played], *, card_minutes: int, card_rule: str) -> Iterator[Item]:
    """Check-in and the rounds, and until when cards are due; a round that is not finished has none that are."""
    yield Item("checkin", "Check-in", PLAY, (CHECKIN_OPENS, 0), to=(CHECKIN_CLOSES, 0))
    for round_ in rounds:
        if round_.begins is None:  # one that goes on from another day is said by the reader of the day
            yield from _starts(round_)
        if not round_.given_up and (round_.begins is not None or round_.ends is None):
            label = f"Round {round_.number}, last cards due"
            anchor = (ROUND_END, round_.number)
            yield Item(f"cards-{round_.number}", label, DEADLINE, anchor, card_minutes, assumed=card_rule)


def _starts(round_: Played) -> Iterator[Item]:
    number = round_.number
    yield Item(
        f"round-{number}",
        f"Round {number}, {_kind(round_)}{', not finished' if round_.given_up else ''}",
        PLAY,
        (FIRST_START, number),
        to=(ROUND_END, number),
        assumed="" if round_.given_up else _length(round_),
    )
    if len(round_.moments) > 1:
        yield Item(f"last-{number}", f"Round {number}, last start", PLAY, (LAST_START, number))


def _kind(round_: Played) -> str:
    if round_.mixed:
        return "tee times and shotgun"
    return "shotgun" if round_.shotgun else "tee times"


def _length(round_: Played) -> str:
    """How long the round is taken to last: by the holes of each layout that is played in it."""
    lengths = sorted({(start.length, start.holes or 0, start.holes) for start in round_.starts})
    words = [length_words(holes, length) for length, _, holes in lengths]
    return f"taken to last {' or '.join(words)} after the last start"


def usual_items(
    usual: Sequence[Usual], rounds: Sequence[Played], *, last_day: bool, signal_minutes: int
) -> Iterator[Item]:
    """The usual items of a day of play, each with a key that holds for this day and round."""
    if not rounds:
        return
    for row in usual:
        for number in _numbers(row, rounds, last_day=last_day):
            minutes = -signal_minutes if row.when == SHOTGUN else row.minutes
            tied = number if row.anchor in OF_A_ROUND else 0
            yield Item(
                key=f"{row.key}-{number}" if number else row.key,
                label=row.label,
                lane=PLAY if row.key in IN_PLAY else DESK,
                anchor=(row.anchor, tied),
                minutes=minutes,
                lasts=row.lasts,
                owner=row.owner,
                assumed=ASSUMED,
                usual=True,
            )


def open_in_time(
    items: Sequence[Item], found: Mapping[Anchor, datetime], shifts: Sequence[datetime]
) -> list[Item]:
    """The items, with the keys of the day early enough for whoever has to come in first: the shift, or the item."""
    day_begins = found.get((DAY_BEGINS, 0))
    begins = [
        found[item.anchor] + timedelta(minutes=item.minutes)
        for item in items
        if item.anchor in found and item.key != KEYS
    ]
    if day_begins is None or not (earliest := min([*begins, *shifts], default=None)):
        return list(items)
    minutes = (earliest - day_begins) // timedelta(minutes=1) - KEYS_BEFORE
    return [replace(item, minutes=min(item.minutes, minutes)) if item.key == KEYS else item for item in items]


def _numbers(row: Usual, rounds: Sequence[Played], *, last_day: bool) -> list[int]:
    """For which rounds of the day the row stands; 0 for the day itself."""
    if row.when == FIRST_ROUND:
        return [each.number for each in rounds if each.starts][:1]
    if row.when == SHOTGUN:
        return [each.number for each in rounds if each.shotgun]
    if row.when == BETWEEN:
        return [each.number for each in rounds[:-1]]
    return [0] if row.when == EACH_DAY or last_day else []
