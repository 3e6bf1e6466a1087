"""Which cards are out, in which order they need somebody, and which one is typed next. Pure of the database."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from scoring.cards.states import CardState

WARN_MINUTES = 5  # a card is marked this long before it is due; the product's own choice, no source


@dataclass(frozen=True, slots=True)
class Waiting:
    """A card in the list: `kind` says what it waits for, `word` is shown when no clock runs; `heard_at` is when the
    course last said something of a group that is still out."""

    state: CardState
    kind: str
    word: str
    needs: bool
    heard_at: datetime | None = None


def waiting(states: Sequence[CardState], now: datetime) -> list[Waiting]:
    """Every card that is not done: differences first, then cards that are due, then cards that lie here
    untyped, then phones' cards whose paper is missing, then groups on the course, the farthest first."""
    rows = [_waiting(state, now) for state in states if not state.done]
    return sorted(rows, key=lambda row: (_RANKS[row.kind], _urgency(row.state), row.state.number))


_RANKS = {"differs": 0, "due": 1, "type": 2, "paper": 3, "course": 4}


def _urgency(state: CardState) -> float:
    if state.due_at is not None:
        return state.due_at.timestamp()
    return -state.holes_played


def _waiting(state: CardState, now: datetime) -> Waiting:
    if state.conflicts or state.open_holes:
        return Waiting(state, "differs", "differs", needs=True)
    if state.returned_at is not None:
        return Waiting(state, "type", "to type", needs=False)
    if state.due_at is not None:
        near = state.due_at - timedelta(minutes=WARN_MINUTES)
        return Waiting(state, "due", "", needs=now >= near)
    if state.complete:
        return Waiting(state, "paper", "all typed", needs=False)
    if state.next_label is not None:
        return Waiting(state, "course", f"on {state.next_label}", needs=False, heard_at=state.heard_at)
    return Waiting(state, "course", "out", needs=False, heard_at=state.heard_at)


def next_card(states: Sequence[CardState], after: int, now: datetime) -> int | None:
    """The group whose card is typed after that of group `after`: one that lies here or is due, else the next
    number that is not complete, from the beginning again; None: nothing is left to type."""
    rows = [row for row in waiting(states, now) if row.state.number != after and not row.state.complete]
    for row in rows:
        if row.kind in {"differs", "due", "type"}:
            return row.state.number
    numbers = sorted(row.state.number for row in rows)
    later = [number for number in numbers if number > after]
    return next(iter([*later, *numbers]), None)
