"""What is left to do about the prizes, as sentences (no query)."""

from collections.abc import Sequence
from datetime import date

from events.paper.text import money as amount
from scoring.prizes.awards import DivisionAwards, Due, EventAwards


def open_in(awards: EventAwards, *, today: date | None = None, waiting: bool = True) -> list[str]:
    """A sentence for each thing about the prizes that somebody still has to do (no query).

    `waiting` False leaves out who has not got a prize yet, where a list of them stands beside it. A division whose
    places are not final has nothing to hand out yet: its open cards and ties are said where they are seen to.
    """
    said = [f"{code}: {awards.purse.of(code).problem}" for code in awards.without]  # type: ignore[union-attr]
    if awards.changed:
        said.append(
            f"The posted payout is not the planned one any more: {', '.join(awards.changed)}. Post it again."
        )
    for division in awards.divisions:
        said += [f"{division.code}, {due.award.name}: {due.award.asked}." for due in division.asked]
        said += [
            f"{division.code}, {due.award.name}: {words}." for due in division.dues if (words := _gap(due))
        ]
        said += _short_words(division)
        missing = [due for due in division.dues if due.waits and not due.handed and not awards.early(due)]
        if missing and waiting:
            said.append(_waiting(division.code, missing, awards, today))
    return said


def _short_words(division: DivisionAwards) -> list[str]:
    """The tie that trophies do not go round for, until all of them have theirs."""
    short = division.trophies_short
    if short is None or all(due.handed for due in division.dues if due.award.entry_id in short.entries):
        return []
    left = "1 trophy is" if short.trophies == 1 else f"{short.trophies} trophies are"
    return [
        f"{division.code}: {len(short.entries)} share place {short.place}, and {left} left for them: a playoff or"
        " another contest may decide who takes which, or all get one (1.09.E)."
    ]


def _gap(due: Due) -> str:
    """What a change after the hand-over made of it."""
    if not due.handed or not due.open:
        return ""
    if due.open > 0:
        return f"{amount(due.open)} more is due since the prize was handed out"
    return f"{amount(-due.open)} too much was handed out: take it back"


def _waiting(code: str, waiting: Sequence[Due], awards: EventAwards, today: date | None) -> str:
    names = ", ".join(due.award.name for due in waiting)
    until = awards.forfeited_after
    if today is not None and today > until:
        return (
            f"{code}: not claimed until {until.day} {until:%B}: {names}. "
            "Write to them, then hand out or forfeit (1.10.G)."
        )
    return f"{code}: not handed out yet, to be claimed until {until.day} {until:%B}: {names}."
