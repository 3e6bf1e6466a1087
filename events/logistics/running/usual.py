"""What a day holds before anybody has written anything: play as planned, and what usually stands around it. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from events.logistics.running.anchors import (
    CHECKIN_CLOSES,
    CHECKIN_OPENS,
    FIRST_START,
    LAST_START,
    OF_A_ROUND,
    ROUND_END,
    Played,
)
from events.logistics.running.laying import DEADLINE, DESK, PLAY, Item

EACH_DAY, FIRST_ROUND, SHOTGUN, BETWEEN, LAST_DAY = (
    "each_day", "first_round", "shotgun", "between", "last_day",
)  # fmt: skip
ASSUMED = "usual, no source"
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


def play_of(rounds: Sequence[Played], *, card_minutes: int, card_rule: str, length: str) -> Iterator[Item]:
    """Check-in and the rounds, and until when cards are due. `length`: how long a round is taken to last, in words."""
    yield Item("checkin", "Check-in", PLAY, (CHECKIN_OPENS, 0), to=(CHECKIN_CLOSES, 0))
    for round_ in rounds:
        if round_.begins is None:  # one that goes on from another day is said by the reader of the day
            yield from _starts(round_, length)
        if round_.begins is not None or round_.ends is None:
            label = f"Round {round_.number}, last cards due"
            anchor = (ROUND_END, round_.number)
            yield Item(f"cards-{round_.number}", label, DEADLINE, anchor, card_minutes, assumed=card_rule)


def _starts(round_: Played, length: str) -> Iterator[Item]:
    number, what = round_.number, "shotgun" if round_.shotgun else "tee times"
    yield Item(
        f"round-{number}",
        f"Round {number}, {what}",
        PLAY,
        (FIRST_START, number),
        to=(ROUND_END, number),
        assumed=length,
    )
    if round_.starts and min(round_.starts) != max(round_.starts):
        yield Item(f"last-{number}", f"Round {number}, last start", PLAY, (LAST_START, number))


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


def _numbers(row: Usual, rounds: Sequence[Played], *, last_day: bool) -> list[int]:
    """For which rounds of the day the row stands; 0 for the day itself."""
    if row.when == FIRST_ROUND:
        return [each.number for each in rounds if each.starts][:1]
    if row.when == SHOTGUN:
        return [each.number for each in rounds if each.shotgun and each.starts]
    if row.when == BETWEEN:
        return [each.number for each in rounds[:-1]]
    return [0] if row.when == EACH_DAY or last_day else []
