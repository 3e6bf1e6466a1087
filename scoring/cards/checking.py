"""What a player's line on a card must be before it is taken, and what is asked about it. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.cards.arithmetic import (
    MOST_THROWS,
    HoleSpec,
    ImpossibleThrows,
    check_throws,
    odd,
    total_question,
)

MOST_TOTAL = 1800  # 60 holes of 30 throws: what cannot be the total of a round; the product's own bound


@dataclass(frozen=True)
class LineIn:
    """One player's line as somebody hands it in.

    `throws`: one item per hole of the layout in layout order, penalty throws included, None: not written.
    `penalties`: penalty throws per hole as far as written (part of `throws` already); may be shorter.
    `additional`: penalty throws on the round total, with their reason. `written_total`: as on the card.
    """

    entry_id: int
    throws: Sequence[int | None]
    penalties: Sequence[int | None] = ()
    additional: int = 0
    additional_reason: str = ""
    written_total: int | None = None


@dataclass(frozen=True)
class Question:
    """Something to ask before saving. `key` names it together with the figures it is about, so that an
    answer holds for these figures only; `index` is the hole in layout order, None: the total or the blanks."""

    key: str
    entry_id: int | None
    index: int | None
    sentence: str


def faults(line: LineIn, name: str, holes: Sequence[HoleSpec]) -> list[str]:
    """Sentences that name player and hole for everything that cannot be; empty: the line can be taken."""
    if len(line.throws) != len(holes):
        return [f"{name}: {len(line.throws)} hole scores for a layout of {len(holes)} holes."]
    found = []
    for hole, score in zip(holes, line.throws, strict=True):
        try:
            if score is not None:
                check_throws(score)
        except ImpossibleThrows as refused:
            found.append(f"{name}, hole {hole.label}: {refused}")
    found += _penalty_faults(line, name, holes)
    if not 0 <= line.additional <= MOST_THROWS:
        found.append(f"{name}: additional penalty throws are 0 to {MOST_THROWS}.")
    elif line.additional and not line.additional_reason.strip():
        found.append(f"{name}: say what the additional penalty throws are for.")
    if line.written_total is not None and not 1 <= line.written_total <= MOST_TOTAL:
        found.append(f"{name}: a written total of {line.written_total} cannot be.")
    return found


def _penalty_faults(line: LineIn, name: str, holes: Sequence[HoleSpec]) -> list[str]:
    if len(line.penalties) > len(holes):
        return [f"{name}: penalty throws for {len(line.penalties)} of {len(holes)} holes."]
    found = []
    for hole, score, penalty in zip(holes, line.throws, line.penalties, strict=False):
        where = f"{name}, hole {hole.label}"
        if penalty is None or penalty == 0:
            continue
        if not 0 < penalty < MOST_THROWS:
            found.append(f"{where}: {penalty} penalty throws cannot be.")
        elif score is not None and penalty >= score:
            found.append(f"{where}: {penalty} penalty throws leave no throw in a score of {score}.")
    return found


def questions(
    lines: Sequence[tuple[str, LineIn, bool]], holes: Sequence[HoleSpec], order: Sequence[int]
) -> list[Question]:
    """What to ask before saving: odd hole scores in order of play, totals that do not agree, blank holes.

    `lines` are (name, line, still playing) in card order; `order` is the layout indexes in order of play.
    Blank holes of all players are one question, since a card that is typed half-way has them everywhere.
    """
    found: list[Question] = []
    blanks: list[tuple[str, int]] = []
    for name, line, playing in lines:
        for index in order:
            score, hole = line.throws[index], holes[index]
            sentence = None if score is None else odd(score, hole.par)
            if sentence:
                key = f"t:{line.entry_id}:{index}:{score}"
                found.append(Question(key, line.entry_id, index, f"{name}, hole {hole.label}: {sentence}"))
        empty = sum(score is None for score in line.throws)
        if empty and playing:
            blanks.append((name, empty))
        if not empty and line.written_total is not None:
            found += _total_question(name, line)
    if blanks:
        who = ", ".join(f"{name} {count}" for name, count in blanks)
        key = "b:" + ",".join(str(count) for _, count in blanks)
        found.append(Question(key, None, None, f"Holes without a score: {who}. Save it as it stands?"))
    return found


def _total_question(name: str, line: LineIn) -> list[Question]:
    sentence = total_question(line.throws, line.additional, line.written_total)
    if sentence is None:
        return []
    total = sum(score for score in line.throws if score is not None) + line.additional
    key = f"w:{line.entry_id}:{line.written_total}:{total}"
    return [Question(key, line.entry_id, None, f"{name}: {sentence}")]
