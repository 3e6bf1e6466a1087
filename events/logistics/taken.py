"""Which discs that had been taken still wait for their throws. Pure."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Claim:
    """A found thing that had been taken from a player; `round` None: nobody knows in which round."""

    thing: int
    entry: int
    round: int | None


@dataclass(frozen=True, slots=True)
class GivenBack:
    """A ruling that stands and takes the throws of one lost disc off."""

    entry: int
    round: int


def unanswered(claims: Sequence[Claim], given: Iterable[GivenBack]) -> set[int]:
    """Things without a ruling. Each ruling answers one thing: first of its own round, then any of its player's, since
    a disc may be found in a later round than it was lost in."""
    left = Counter(given)
    waiting: list[Claim] = []
    for claim in claims:
        own = None if claim.round is None else GivenBack(claim.entry, claim.round)
        if own is not None and left[own]:
            left[own] -= 1
        else:
            waiting.append(claim)
    spare = Counter(each.entry for each in left.elements())
    found = set()
    for claim in waiting:
        if spare[claim.entry]:
            spare[claim.entry] -= 1
        else:
            found.add(claim.thing)
    return found


def comes_off(throws: int) -> str:
    """What a change of the score by `throws` is called: "2 throws come off"."""
    if throws >= 0:
        return "the rules of this event take no throws off"
    return "1 throw comes off" if throws == -1 else f"{-throws} throws come off"
