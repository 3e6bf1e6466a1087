"""The open card as rows and cells ready to be drawn: text, labels and marks, nothing left to decide."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from events.course.hazards import NOTHING, Hazards
from events.course.models import HazardNote
from events.course.queries import HoleFacts
from scoring.cards.arithmetic import HoleSpec, WrittenLine, line_changes, line_total, total_fits
from scoring.cards.checking import LineIn, Question, questions
from scoring.cards.reading import penalty_text
from scoring.cards.states import CardState, LineFacts, PlayerLine, VersionState


@dataclass(frozen=True, slots=True)
class Cell:
    name: str
    value: str
    label: str
    index: int
    par: int
    penalty: str
    odd: bool
    first: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One player's line as text; `total` as it is written and `counts` with the rulings, additional throws in both."""

    entry_id: int
    name: str
    division: str
    status: str
    playing: bool
    cells: tuple[Cell, ...]
    total: str
    counts: str
    written: str
    differs: bool
    penalties: str
    additional: str
    additional_reason: str


@dataclass(frozen=True, slots=True)
class DifferingCell:
    """One cell on which two versions differ, as text; "blank" where nothing is written."""

    player: str
    cell: str
    current: str
    other: str


def specs(state: CardState) -> list[HoleSpec]:
    return [HoleSpec(hole.label, hole.par) for hole in state.layout.holes]


def questions_of(state: CardState, lines: Sequence[LineIn]) -> list[Question]:
    """What to ask about these lines, which are in the order of the state's players."""
    named = [(player.name, line, player.playing) for player, line in zip(state.players, lines, strict=True)]
    return questions(named, specs(state), [index for index, _ in state.holes])


def standing_lines_in(state: CardState) -> list[LineIn]:
    """The lines that stand, as they would be handed in."""
    return [
        LineIn(
            player.entry_id,
            player.throws,
            player.penalties,
            player.additional,
            player.additional_reason,
            player.written_total,
        )
        for player in state.players
    ]


def blank_lines_in(state: CardState, desk: VersionState | None = None) -> list[LineIn]:
    """An empty line for each player, for somebody who types without seeing what is there; with what the `desk` wrote
    of holes that were not played, which is decided."""
    count = len(state.layout.holes)
    decided = {line.entry_id: line.throws for line in desk.lines if len(line.throws) == count} if desk else {}
    blank = (None,) * count
    return [LineIn(player.entry_id, decided.get(player.entry_id, blank)) for player in state.players]


def rows_of(
    state: CardState,
    lines: Sequence[LineIn],
    asked: Sequence[Question] = (),
    raw: Mapping[str, str] | None = None,
) -> list[Row]:
    """The grid of these lines; `raw` (as posted) is shown in place of them where something was typed."""
    marked = {(question.entry_id, question.index) for question in asked}
    blank = _first_blank(state, lines)
    return [
        _row(state, player, line, marked, blank, raw)
        for player, line in zip(state.players, lines, strict=True)
    ]


def _first_blank(state: CardState, lines: Sequence[LineIn]) -> tuple[int, int] | None:
    """Where typing goes on: the first hole without a score, player by player."""
    for line in lines:
        for index, _ in state.holes:
            if line.throws[index] is None:
                return line.entry_id, index
    return (lines[0].entry_id, state.start_index) if lines else None


def _row(
    state: CardState,
    player: PlayerLine,
    line: LineIn,
    marked: Collection[tuple[int | None, int | None]],
    blank: tuple[int, int] | None,
    raw: Mapping[str, str] | None,
) -> Row:
    entry = player.entry_id
    penalties = [*(penalty or 0 for penalty in line.penalties), *[0] * len(state.layout.holes)]
    added = line_total(line.throws, state.layout.pars, line.additional)
    shown = _shown(state, line, penalties)
    if raw is not None:
        shown = {name: raw.get(name, "") for name in shown}
    cells = tuple(
        Cell(
            name=f"t{entry}_{index}",
            value=shown[f"t{entry}_{index}"],
            label=f"{player.name}, hole {hole.label}",
            index=index,
            par=hole.par,
            penalty=_penalty_mark(penalties[index]),
            odd=(entry, index) in marked,
            first=(entry, index) == blank,
        )
        for index, hole in state.holes
    )
    return Row(
        entry_id=entry,
        name=player.name,
        division=player.division,
        status="" if player.playing else player.status_label,
        playing=player.playing,
        cells=cells,
        total=_text(added.total),
        counts=_text(player.sum.total),
        written=shown[f"w{entry}"],
        differs=added.complete
        and line.written_total is not None
        and not total_fits([score or 0 for score in line.throws], line.additional, line.written_total),
        penalties=shown[f"p{entry}"],
        additional=shown[f"a{entry}"],
        additional_reason=shown[f"r{entry}"],
    )


def _shown(state: CardState, line: LineIn, penalties: Sequence[int]) -> dict[str, str]:
    """The texts of a line's inputs by the names under which `forms.read_card` takes them back."""
    entry, labels = line.entry_id, [hole.label for hole in state.layout.holes]
    return {
        f"p{entry}": penalty_text(penalties[: len(labels)], labels),
        f"a{entry}": str(line.additional or ""),
        f"r{entry}": line.additional_reason,
        f"w{entry}": str(line.written_total or ""),
        **{f"t{entry}_{index}": _text(score) for index, score in enumerate(line.throws)},
    }


def _text(figure: int | None) -> str:
    return "" if figure is None else str(figure)


def _penalty_mark(count: int) -> str:
    return "" if not count else "P" if count == 1 else f"{count}P"


@dataclass(frozen=True, slots=True)
class HoleRow:
    """A hole of the group's page: its facts, what counts of each player so far, the width of the table, and the hazard
    notes that hold there."""

    hole: HoleFacts
    scores: tuple[int | None, ...]
    width: int
    hazards: tuple[HazardNote, ...] = ()


def hole_rows(state: CardState, hazards: Hazards = NOTHING) -> list[HoleRow]:
    """The holes in the order in which the group plays them, with those of `hazards` that belong to each."""
    width = 3 + len(state.players)
    return [
        HoleRow(
            hole,
            tuple(player.counts[index] for player in state.players),
            width,
            hazards.by_hole.get(hole.id, ()),
        )
        for index, hole in state.holes
    ]


def differences(state: CardState, current: VersionState, other: VersionState) -> list[DifferingCell]:
    """Only the cells on which two versions of a card differ, player by player, holes first."""
    names = {player.entry_id: player.name for player in state.players}
    labels = [hole.label for hole in state.layout.holes]
    standing = {line.entry_id: line for line in current.lines}
    found = []
    for line in other.lines:
        before = standing.get(line.entry_id)
        if len(line.throws) != len(labels) or (before and len(before.throws) != len(labels)):
            continue
        name = names.get(line.entry_id, "a player of an earlier tee sheet")
        for change in line_changes(name, labels, _written(before), _written(line)):
            cell = f"hole {change.cell}" if change.cell.split()[0] in labels else change.cell
            found.append(DifferingCell(name, cell, _said(change.before), _said(change.after)))
    return found


def _written(line: LineFacts | None) -> WrittenLine | None:
    if line is None:
        return None
    return WrittenLine(line.throws, line.additional, line.written_total, line.penalties)


def _said(figure: int | None) -> str:
    return "blank" if figure is None else str(figure)
