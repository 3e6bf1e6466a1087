"""How a group's card stands, for its phones: what counts, which phone said what, and where two of them differ."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.course.hazards import Hazards, hazards_on
from events.safety.models import Position
from events.safety.stopped import went_on
from events.setup.models import Round
from scoring.cards.asking import messages_of
from scoring.cards.merging import Merged, merged
from scoring.cards.models import CardLine, Device, GroupMessage
from scoring.cards.queries import NoSuchCard, cards_of
from scoring.cards.restanding import said_of
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
    """Everything that a group's page shows at one moment. `stood`: where the group stood in a stop that is over."""

    round: Round
    state: CardState
    cells: tuple[PhoneCell, ...]
    yes: Mapping[int, Confirmed]
    verified: bool
    hazards: Hazards
    rulings: Sequence[RulingLine]
    stood: Position | None
    messages: Sequence[GroupMessage]


def group_now(round: Round, number: int, now: datetime) -> GroupNow:
    """A group's card as its phones need it (19 queries, whatever the size of the field). Raises NoSuchCard."""
    state = next(iter(cards_of(round, number)), None)
    if state is None:
        raise NoSuchCard(f"Group {number} is not on the tee sheet of round {round.number} any more.")
    entries = [player.entry_id for player in state.players]
    return GroupNow(
        round=round,
        state=state,
        cells=_cells(round, state, entries),
        yes=confirmations_of(round, entries),
        verified=state.verified_at is not None,
        hazards=hazards_on(
            round.event, [hole.id for hole in state.layout.holes], "card", now, on_screen=True
        ),
        rulings=ruling_lines(round.event, round, state),
        stood=None if state.complete else went_on(round, number),
        messages=messages_of(round, number),
    )


def _cells(round: Round, state: CardState, entries: Sequence[int]) -> tuple[PhoneCell, ...]:
    """The holes of which anything was said or typed, player by player (3 queries)."""
    said = said_of(round, entries)
    devices = {each.pk: each for each in Device.objects.filter(pk__in={each.device for each in said})}
    left = merged(said)
    typed = dict(
        CardLine.objects.filter(round=round, entry__in=entries, current=True).values_list(
            "entry_id", "throws"
        )
    )
    found = []
    for entry_id in entries:
        written = typed.get(entry_id, ())
        for index, hole in enumerate(state.layout.holes):
            cell = left.get((entry_id, hole.label))
            at_desk = index < len(written) and written[index] is not None
            if cell is not None or at_desk:
                found.append(_cell(entry_id, hole.label, at_desk, cell, devices))
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
