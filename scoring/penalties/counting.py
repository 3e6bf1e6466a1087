"""What a breach comes to: the warning first, then throws; of several rules broken by one throw the heaviest. Pure.

Official Rules 2025, 801.02: warnings belong to one round and one rule and are never carried over, so only what was
said in the same round is handed in here; one throw has one penalty, the heaviest, of equal ones the first.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from scoring.penalties.catalogue import CHAPTERS, EACH_HOLE, HOLE, STARTING_HOLE, Penalty, throws_text
from scoring.penalties.questions import Found

NOBODY_COMBINES = (
    "Only rules of one throw and of where it came to rest are weighed against each other: "
    "write the rest by itself."
)


@dataclass(frozen=True, slots=True)
class Earlier:
    """What was said to this player under this rule in this round (or playoff) and stands."""

    warnings: int = 0
    penalties: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """A rule that was broken and what it comes to: a warning, throws, or 0 where it counted already.

    `hole` is the label of the hole on which the throws are written, "" for the round's total.
    """

    penalty: Penalty
    warning: bool
    throws: int
    hole: str
    why: str

    @property
    def where(self) -> str:
        return f"hole {self.hole}" if self.hole else "the round total"


@dataclass(frozen=True, slots=True)
class Proposal:
    """`parts` count; `outweighed` were broken by the same throw and do not. A warning costs no throw, so that nothing
    outweighs it: it is said besides."""

    parts: tuple[Part, ...]
    outweighed: tuple[Part, ...] = field(default=())

    @property
    def throws(self) -> int:
        return sum(part.throws for part in self.parts)

    @property
    def warning(self) -> bool:
        return any(part.warning for part in self.parts)

    @property
    def nothing(self) -> bool:
        """Neither throws nor a warning are left to write."""
        return not any(part.throws or part.warning for part in self.parts)


def comes_to(penalty: Penalty, earlier: Earlier, hole: str, start_hole: str) -> Part:
    """One breach after those of the same rule in the same round."""
    where = {HOLE: hole, STARTING_HOLE: start_hole}.get(penalty.booked, "")
    if earlier.warnings < penalty.warnings:
        return Part(penalty, True, 0, where, "the first in this round: a warning")
    if penalty.once and earlier.penalties:
        return Part(penalty, False, 0, where, "it counts once in a round, and stands already")
    why = f"after a warning: {throws_text(penalty.throws)}" if penalty.warnings else ""
    return Part(penalty, False, penalty.throws, where, why or throws_text(penalty.throws))


def propose(
    findings: Sequence[Found],
    rows: Mapping[str, Penalty],
    earlier: Mapping[str, Earlier],
    *,
    hole: str,
    start_hole: str,
) -> Proposal:
    """What the answers come to. One finding may have parts that belong to different throws: these add up.

    Several findings are rules that one throw broke, in the order in which it broke them. Raises ValueError without a
    finding, for one that no throw can combine, and for holes not played, which are scored and not ruled.
    """
    if not findings:
        raise ValueError("Nothing was found.")
    sets = [
        tuple(comes_to(rows[key], earlier.get(key, Earlier()), hole, start_hole) for key in found.keys)
        for found in findings
    ]
    if any(part.penalty.booked == EACH_HOLE for parts in sets for part in parts):
        raise ValueError("A hole that was not played is scored, not ruled.")
    if len(sets) == 1:
        return Proposal(sets[0])
    if any(len(parts) != 1 or not combines(parts[0].penalty) for parts in sets):
        raise ValueError(NOBODY_COMBINES)
    broken = list(dict.fromkeys(parts[0] for parts in sets))
    warnings = [part for part in broken if part.warning]
    costing = [part for part in broken if not part.warning]
    if not costing:
        return Proposal(tuple(warnings))
    heaviest = max(costing, key=lambda part: part.throws)  # max keeps the first of equals
    return Proposal((heaviest, *warnings), tuple(part for part in costing if part != heaviest))


def combines(penalty: Penalty) -> bool:
    """Whether a throw can break this rule together with others: rules of the throw, the lie and where the disc came to
    rest. Conduct, equipment and time are called for what a player does and are no part of a throw."""
    of_throw = penalty.chapter in CHAPTERS[:2] and not penalty.apart
    return of_throw and penalty.booked == HOLE and penalty.throws >= 0


def majority(of: int) -> int:
    """How many of a group are more than half of it: 3 of 4, 2 of 3 (Official Rules 2025, 801.02)."""
    return of // 2 + 1


@dataclass(frozen=True, slots=True)
class NotPlayed:
    """A hole that was not played, as it is scored. `written`: the score that this replaces, None: none."""

    label: str
    par: int
    score: int
    written: int | None


def not_played(
    holes: Sequence[tuple[str, int, int | None]], labels: Sequence[str], over_par: int
) -> tuple[NotPlayed, ...]:
    """The holes of `labels` as an absence scores them: par and `over_par` for each, without a limit to their number.

    `holes` are (label, par, written score) in layout order (Competition Manual 2025, 1.05.E; Official Rules 2025,
    811.F).
    """
    chosen = set(labels)
    return tuple(
        NotPlayed(label, par, par + over_par, written) for label, par, written in holes if label in chosen
    )
