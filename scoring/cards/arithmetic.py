"""The arithmetic of a score card: sums, par, faults, differences, clocks and order of play.

Pure: plain sequences in layout order, one entry per hole. A hole without a score is None and is never
counted as 0. Positions of holes are indexes that count from 0 in layout order.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum

MOST_THROWS = 30  # what cannot be a score of one hole; the product's own bound, no source
ASK_FROM_THROWS = 10  # asked about, never refused; the product's own bound, no source
ASK_FROM_OVER_PAR = 4  # also what an absence costs, so it is worth one question
ACE_ASKED_FROM_PAR = 4


class ImpossibleThrows(ValueError):
    """A hole score that cannot be: below 1 or above `MOST_THROWS`."""


@dataclass(frozen=True)
class HoleSpec:
    """A hole as the card needs it: the label shown ("7", "4S") and the director's par."""

    label: str
    par: int


@dataclass(frozen=True)
class LineSum:
    """One player's line added up.

    `total` is the throws of the holes played plus additional penalties, None while no hole is played;
    it is the round's total only when `complete`. `to_par` is measured over the holes played.
    """

    total: int | None
    played: int
    par_played: int
    to_par: int | None
    complete: bool


@dataclass(frozen=True)
class WrittenLine:
    """One player's line as a version holds it: throws in layout order, additional penalties on the round,
    the total that is written on the card (None: not written), and penalty throws per hole as far as written
    (they are part of `throws` already)."""

    throws: tuple[int | None, ...]
    additional: int = 0
    written_total: int | None = None
    penalties: tuple[int | None, ...] = ()


class EntryFault(StrEnum):
    """What can be wrong with a player's own entries (Official Rules 2025, 808.G.2)."""

    HOLE_BLANK = "a hole score is missing"
    HOLE_WRONG = "a hole score is wrong"
    TOTAL_MISSING = "the total is missing"
    TOTAL_WRONG = "the total is wrong"


@dataclass(frozen=True)
class CellChange:
    """One cell that differs between two versions; None before or after means blank."""

    player: str
    cell: str
    before: int | None
    after: int | None


@dataclass(frozen=True)
class Through:
    """How far a player has come in the order of play.

    `played` counts scored holes; `next_index` is the first blank hole after the last scored one (None
    when no hole follows); `gaps` are blank holes that lie before a scored one.
    """

    played: int
    next_index: int | None
    gaps: tuple[int, ...]


def line_total(throws: Sequence[int | None], pars: Sequence[int], additional: int = 0) -> LineSum:
    """Add up one line; raises ValueError when throws and pars differ in length.

    A round is the sum of its holes plus additional penalties (Official Rules 2025, 808.D).
    """
    scored = [(score, par) for score, par in zip(throws, pars, strict=True) if score is not None]
    par_played = sum(par for _, par in scored)
    if not scored:
        return LineSum(total=None, played=0, par_played=0, to_par=None, complete=False)
    total = sum(score for score, _ in scored) + additional
    return LineSum(total, len(scored), par_played, total - par_played, len(scored) == len(throws))


def absent(par: int, extra: int) -> int:
    """The score of a hole that an absent player did not play: par + `extra` (from the rulebook, 4;
    Competition Manual 2025, 1.05.E and Official Rules 2025, 811.F)."""
    return par + extra


def check_throws(throws: int) -> int:
    """Give back a hole score that can be; raises `ImpossibleThrows` otherwise."""
    if not 1 <= throws <= MOST_THROWS:
        raise ImpossibleThrows(f"A hole score is between 1 and {MOST_THROWS}; {throws} cannot be.")
    return throws


def odd(throws: int, par: int) -> str | None:
    """A question to ask before saving an unusual hole score, or None. It warns and never refuses."""
    if throws == 1 and par >= ACE_ASKED_FROM_PAR:
        return f"1 on a par {par}: is that right?"
    if throws >= ASK_FROM_THROWS:
        return f"{throws} throws on one hole: is that right?"
    if throws >= par + ASK_FROM_OVER_PAR:
        return f"{throws} on a par {par} is {throws - par} over: is that right?"
    return None


def total_fits(scored: Sequence[int], additional: int, written: int) -> bool:
    """Whether a written total is right for these hole scores, with the additional throws or without them: those that
    the table added are not in the total of whoever wrote the card."""
    return written - sum(scored) in {0, additional}


def total_question(throws: Sequence[int | None], additional: int, written: int | None) -> str | None:
    """The sentence to show when the written total and the computed one do not agree, else None.

    Nothing is said of a line on which neither a hole nor a total is written yet.
    """
    scored = [score for score in throws if score is not None]
    blanks = len(throws) - len(scored)
    if not scored and written is None:
        return None
    if blanks:
        holes = "1 hole is" if blanks == 1 else f"{blanks} holes are"
        said = "no total is written" if written is None else f"the total {written} cannot be checked"
        return f"{holes} blank; {said}."
    total = sum(scored) + additional
    if written is None:
        return f"No total is written; the card adds up to {total}."
    if total_fits(scored, additional, written):
        return None
    gap = abs(written - total)
    way = "too many" if written > total else "too few"
    return f"The card says {written}, it adds up to {total}: {gap} {way}."


def line_changes(
    player: str, labels: Sequence[str], before: WrittenLine | None, after: WrittenLine | None
) -> tuple[CellChange, ...]:
    """Cells of one player's line that differ, holes first in layout order, then penalty throws per hole, the
    additional penalties and the written total. A line that one version lacks counts as blank throughout;
    no penalty and a penalty of 0 are the same cell."""
    names = [*labels, *(f"{label} penalty" for label in labels), "additional", "written total"]
    old, new = _cells(before, len(labels)), _cells(after, len(labels))
    return tuple(
        CellChange(player, name, was, now)
        for name, was, now in zip(names, old, new, strict=True)
        if was != now
    )


def _cells(line: WrittenLine | None, holes: int) -> list[int | None]:
    if line is None:
        return [None] * (2 * holes + 2)
    penalties = [*line.penalties, *[None] * holes][:holes]
    return [
        *line.throws,
        *(penalty or None for penalty in penalties),
        line.additional or None,
        line.written_total,
    ]


def due_at(finished: datetime, minutes: int) -> datetime:
    """When a card is due: `minutes` after the group finished (rulebook, 30; Official Rules 2025, 808.F).

    Takes an aware time and answers in the same zone. Counted in elapsed time, so that a clock change in
    between does not lengthen or shorten it; raises ValueError for a naive time.
    """
    if finished.tzinfo is None:
        raise ValueError("A finishing time needs a time zone.")
    return (finished.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(finished.tzinfo)


def from_start(n_holes: int, start_position: int) -> tuple[int, ...]:
    """Indexes of the holes in the order a group plays them that starts at index `start_position`.

    Both count from 0. Raises ValueError for a start outside the layout.
    """
    if not 0 <= start_position < n_holes:
        raise ValueError(f"Start {start_position} is not one of {n_holes} holes counted from 0.")
    return (*range(start_position, n_holes), *range(start_position))


def through(throws: Sequence[int | None], start_position: int = 0) -> Through:
    """How far a line has come in the order of play from `start_position` (index from 0)."""
    order = from_start(len(throws), start_position)
    scored = [step for step, index in enumerate(order) if throws[index] is not None]
    if not scored:
        return Through(0, order[0], ())
    last = scored[-1]
    gaps = tuple(index for index in order[:last] if throws[index] is None)
    return Through(len(scored), order[last + 1] if last + 1 < len(order) else None, gaps)


def entry_faults(written: WrittenLine, agreed: Sequence[int | None]) -> tuple[EntryFault, ...]:
    """Faults in what a player handed in, judged against the scores that were agreed for the same holes.

    `written` is the card as submitted, `agreed` the right hole scores. Each kind is named once, in the
    order of `EntryFault`. Of a hole not agreed yet (None) only a blank is judged, and no total while any remain.
    """
    pairs = list(zip(written.throws, agreed, strict=True))
    settled = all(right is not None for _, right in pairs)
    total, right_ones = written.written_total, [right for _, right in pairs if right is not None]
    found = {
        EntryFault.HOLE_BLANK: any(own is None for own, _ in pairs),
        EntryFault.HOLE_WRONG: any(None not in (own, right) and own != right for own, right in pairs),
        EntryFault.TOTAL_MISSING: total is None,
        EntryFault.TOTAL_WRONG: total is not None
        and settled
        and not total_fits(right_ones, written.additional, total),
    }
    return tuple(fault for fault in EntryFault if found[fault])


def entry_penalty(faults: Sequence[EntryFault], penalty: int) -> int:
    """Throws added to the round for wrong own entries: `penalty` once, however many the faults.

    From the rulebook, 2 (Official Rules 2025, 808.G.2 and question QA-SCO-1).
    """
    return penalty if faults else 0
