"""How a group's card stands, for its phones: what counts, which phone said what, and where two of them differ."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.course.hazards import Hazards, hazards_on
from events.safety.models import Position
from events.safety.stopped import went_on
from events.setup.models import Round
from scoring.cards.asking import messages_of
from scoring.cards.merging import Cell, Merged, merged
from scoring.cards.models import CardLine, Device, GroupMessage, HoleEntry
from scoring.cards.queries import NoSuchCard, cards_of
from scoring.cards.restanding import Kept, as_kept
from scoring.cards.ruling_lines import RulingLine, ruling_lines
from scoring.cards.signing import Confirmed, confirmations_of
from scoring.cards.states import CardState


@dataclass(frozen=True, slots=True)
class Voice:
    """One phone's figure for one hole, as far as nobody overruled it. `device` is the key that the phone made."""

    key: str
    device: str
    name: str
    throws: int | None


@dataclass(frozen=True, slots=True)
class PhoneCell:
    """One player's hole. `typed`: the desk has written it, which stands before what phones say."""

    entry_id: int
    hole: str
    typed: bool
    differs: bool
    voices: tuple[Voice, ...]


@dataclass(frozen=True, slots=True)
class GroupNow:
    """Everything that a group's page shows at one moment. `stood`: where the group stood in a stop that is over;
    `heard`: number of the newest entry among the cells, 0: none."""

    round: Round
    state: CardState
    cells: tuple[PhoneCell, ...]
    yes: Mapping[int, Confirmed]
    verified: bool
    hazards: Hazards
    rulings: Sequence[RulingLine]
    stood: Position | None
    messages: Sequence[GroupMessage]
    heard: int


def group_now(round: Round, number: int, now: datetime) -> GroupNow:
    """A group's card as its phones need it (19 queries, whatever the size of the field). Raises NoSuchCard."""
    state = next(iter(cards_of(round, number)), None)
    if state is None:
        raise NoSuchCard(f"Group {number} is not on the tee sheet of round {round.number} any more.")
    entries = [player.entry_id for player in state.players]
    kept = as_kept(HoleEntry.objects.filter(round=round, entry__in=entries))
    return GroupNow(
        round=round,
        state=state,
        cells=_cells(round, state, entries, kept),
        yes=confirmations_of(round, entries),
        verified=state.verified_at is not None,
        hazards=hazards_on(
            round.event, [hole.id for hole in state.layout.holes], "card", now, on_screen=True
        ),
        rulings=ruling_lines(round.event, round, state),
        stood=went_on(round, number),
        messages=messages_of(round, number),
        heard=newest(kept),
    )


def newest(kept: Sequence[Kept]) -> int:
    return max((row.number for row in kept), default=0)


def _cells(
    round: Round, state: CardState, entries: Sequence[int], kept: Sequence[Kept]
) -> tuple[PhoneCell, ...]:
    """The holes of which anything was said or typed, player by player (2 queries)."""
    lines = CardLine.objects.filter(round=round, entry__in=entries, current=True)
    typed = dict(lines.values_list("entry_id", "throws"))
    labels = [hole.label for hole in state.layout.holes]
    devices = Device.objects.in_bulk({row.said.device for row in kept})
    return cells_of([(entry, hole) for entry in entries for hole in labels], labels, kept, typed, devices)


def cells_of(
    wanted: Collection[Cell],
    labels: Sequence[str],
    kept: Sequence[Kept],
    typed: Mapping[int, Sequence[int | None]],
    devices: Mapping[int, Device],
) -> tuple[PhoneCell, ...]:
    """Of the wanted cells those of which anything was said or typed. `typed`: the desk's throws by entry, in the order
    of `labels`."""
    left = merged(row.said for row in kept)
    places = {label: index for index, label in enumerate(labels)}
    found = []
    for entry_id, hole in wanted:
        written, index, cell = typed.get(entry_id, ()), places.get(hole), left.get((entry_id, hole))
        if index is None:
            continue  # a hole that the layout does not have any more
        at_desk = index < len(written) and written[index] is not None
        if cell is not None or at_desk:
            found.append(_cell(entry_id, hole, at_desk, cell, devices))
    return tuple(found)


def _cell(
    entry_id: int, hole: str, at_desk: bool, cell: Merged | None, devices: Mapping[int, Device]
) -> PhoneCell:
    voices = [
        Voice(said.key, str(devices[said.device].key), _name(devices[said.device]), said.throws)
        for said in (cell.said if cell else ())
    ]
    differs = cell is not None and cell.differs and not at_desk
    return PhoneCell(entry_id, hole, at_desk, differs, tuple(voices))


def _name(device: Device) -> str:
    if device.kind == Device.Kind.DESK:
        return "the desk"
    return device.name or "another phone"
