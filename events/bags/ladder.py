"""What a call about a thrown disc costs: the warning first, then throws; of several rules in one throw the dearest.

Official Rules 2025: 813.01.G and H, 801.02.D (warnings end with the round) and 801.02.I (one penalty for one throw).
"""

from collections.abc import Sequence
from dataclasses import dataclass

UNMARKED, ILLEGAL = "unmarked", "illegal"
KINDS = (UNMARKED, ILLEGAL)


@dataclass(frozen=True, slots=True)
class Figures:
    """Throws and warnings from the rulebook."""

    illegal_throws: int
    unmarked_throws: int
    warnings: int


@dataclass(frozen=True, slots=True)
class Earlier:
    """A call of the same player in the same round (or the same playoff) that was not taken back."""

    counted: str
    warning: bool
    hole: str
    throw: int | None


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the call comes to. `counted` is the rule that counts; `throws` is 0 for a warning."""

    counted: str
    warning: bool
    throws: int
    sentence: str


class CalledBefore(ValueError):
    """The same throw was called already; one throw has one penalty."""


def propose(
    kinds: Sequence[str], earlier: Sequence[Earlier], figures: Figures, *, hole: str, throw: int | None
) -> Proposal:
    """What a call costs after those before it in the round.

    `kinds` in the order in which the breaches happened. Raises CalledBefore for a throw that was called already,
    ValueError without a kind.
    """
    if not kinds or set(kinds) - set(KINDS):
        raise ValueError("A call names an unmarked disc, an illegal disc, or both.")
    if throw is not None and any((each.hole, each.throw) == (hole, throw) for each in earlier):
        raise CalledBefore(f"Throw {throw} on hole {hole} was called already: one throw has one penalty.")
    each = [_cost(kind, earlier, figures) for kind in kinds]
    dearest = max(each, key=lambda proposal: proposal.throws)  # max keeps the first of equals
    if len(set(kinds)) == 1:
        return dearest
    why = f"{dearest.sentence} One throw has one penalty: the dearest."
    return Proposal(dearest.counted, dearest.warning, dearest.throws, why)


def _cost(kind: str, earlier: Sequence[Earlier], figures: Figures) -> Proposal:
    if kind == ILLEGAL:
        throws = figures.illegal_throws
        return Proposal(kind, False, throws, f"Illegal disc thrown: {_throws(throws)}.")
    warned = sum(call.warning and call.counted == UNMARKED for call in earlier)
    if warned < figures.warnings:
        return Proposal(kind, True, 0, "Unmarked disc thrown, the first of the round: a warning.")
    throws = figures.unmarked_throws
    return Proposal(kind, False, throws, f"Unmarked disc thrown after a warning: {_throws(throws)}.")


def _throws(count: int) -> str:
    return "1 penalty throw" if count == 1 else f"{count} penalty throws"
