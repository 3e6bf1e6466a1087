"""A playoff as its page shows it: a row of figures for each hole, and what they mean."""

from collections.abc import Mapping
from dataclasses import dataclass

from scoring.playoffs.contest import Outcome, Step
from scoring.playoffs.models import Playoff
from scoring.playoffs.queries import listed


@dataclass(frozen=True, slots=True)
class Cell:
    """A player on a hole: `throws` None while not written; `turn` is the place in the tee order, None: not in it."""

    entry_id: int
    name: str
    throws: int | None
    turn: int | None
    typed: str = ""


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One hole; `index` from 0 within the playoff, `words` what came of it; `open`: figures are asked for."""

    index: int
    label: str
    kind: str
    cells: tuple[Cell, ...]
    words: str
    open: bool


@dataclass(frozen=True, slots=True)
class Table:
    heads: tuple[tuple[int, str], ...]
    rows: tuple[HoleRow, ...]
    sums: tuple[int | None, ...]
    order: tuple[str, ...]
    decided: str


def table_of(
    playoff: Playoff,
    outcome: Outcome,
    names: Mapping[int, str],
    *,
    correct: int | None = None,
    typed: Mapping[int, str] | None = None,
) -> Table:
    """The holes played, and the next one, or `correct` (from 0) opened again with what was `typed` into it."""
    played = len(outcome.steps)
    opened = correct if correct is not None and 0 <= correct < played else None
    rows = [_row(playoff, step, names, opened == step.number, typed or {}) for step in outcome.steps]
    if opened is None and not outcome.decided:
        rows.append(_next(playoff, played, outcome, names, typed or {}))
    return Table(
        heads=tuple((key, names[key]) for key in playoff.players),
        rows=tuple(rows),
        sums=tuple(outcome.sums.get(key) for key in playoff.players) if playoff.aggregate else (),
        order=tuple(names[key] for key in outcome.playing),
        decided=decided_words(playoff, outcome, names),
    )


def hole_label(playoff: Playoff, index: int) -> str:
    """The hole of the layout that is played as number `index` (from 0); again from the first when all are through."""
    return str(playoff.holes[index % len(playoff.holes)])


def _kind(playoff: Playoff, index: int) -> str:
    return "added up" if index < playoff.aggregate else "sudden death"


def _row(
    playoff: Playoff, step: Step, names: Mapping[int, str], opened: bool, typed: Mapping[int, str]
) -> HoleRow:
    cells = tuple(
        Cell(
            entry_id=key,
            name=names[key],
            throws=step.throws.get(key),
            turn=step.order.index(key) + 1 if key in step.order else None,
            typed=typed.get(key, str(step.throws.get(key, ""))),
        )
        for key in playoff.players
    )
    kind = _kind(playoff, step.number)
    return HoleRow(
        step.number, hole_label(playoff, step.number), kind, cells, _words(playoff, step, names), opened
    )


def _words(playoff: Playoff, step: Step, names: Mapping[int, str]) -> str:
    """ "Hale Oyelaran is out", "level", "" inside an aggregate."""
    best = "through" if playoff.after_round else "first"
    said = []
    for keys, what in ((step.through, best), (step.out, "out")):
        if keys:
            said.append(f"{listed([names[key] for key in keys])} {'is' if len(keys) == 1 else 'are'} {what}")
    if said:
        return "; ".join(said)
    return "level" if step.sudden_death or step.number + 1 == playoff.aggregate else ""


def _next(
    playoff: Playoff, index: int, outcome: Outcome, names: Mapping[int, str], typed: Mapping[int, str]
) -> HoleRow:
    order = outcome.playing
    cells = tuple(
        Cell(key, names[key], None, order.index(key) + 1 if key in order else None, typed.get(key, ""))
        for key in playoff.players
    )
    return HoleRow(index, hole_label(playoff, index), _kind(playoff, index), cells, "", True)


def decided_words(playoff: Playoff, outcome: Outcome, names: Mapping[int, str]) -> str:
    """ "Ludvik Moravec wins the playoff." once it is decided."""
    if not outcome.decided:
        return ""
    who = listed([names[key] for key in outcome.through])
    if playoff.after_round:
        return f"{who} {'plays' if len(outcome.through) == 1 else 'play'} on."
    return f"{who} wins {playoff.what}." if playoff.trophy else f"{who} wins the playoff."
