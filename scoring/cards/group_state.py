"""How a group's card stands, for its phones: what counts, which phone said what, and where two of them differ."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.setup.models import Round
from scoring.cards.merging import Merged, merged
from scoring.cards.models import Card, CardLine, Confirmation, Device
from scoring.cards.restanding import said_of
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
class Yes:
    """A player's yes to the own scores; `total` is what was confirmed."""

    entry_id: int
    total: int
    by: str
    at: datetime
    paper: bool
    stands: bool


@dataclass(frozen=True, slots=True)
class PhoneState:
    """What `state` does not say itself: the phones' cells, the players' own confirmations, whether it is verified."""

    state: CardState
    cells: tuple[PhoneCell, ...]
    yes: tuple[Yes, ...]
    verified: bool


def phone_state(round: Round, state: CardState) -> PhoneState:
    """The phones' side of a group's card (5 queries, whatever was said); `state` as `queries.card` has it."""
    card = Card.objects.filter(round=round, group_number=state.number).first()
    entries = [player.entry_id for player in state.players]
    devices = {
        each.pk: each for each in Device.objects.filter(card__round=round, hole_entries__entry__in=entries)
    }
    left = merged(said_of(round, entries))
    typed = _typed(round, entries)
    cells = []
    for player in state.players:
        for index, hole in enumerate(state.layout.holes):
            cell = left.get((player.entry_id, hole.label))
            written = typed.get(player.entry_id, ())
            desk = index < len(written) and written[index] is not None
            if cell is not None or desk:
                cells.append(_cell(player.entry_id, hole.label, desk, cell, devices))
    return PhoneState(state, tuple(cells), _yes(round, state), card is not None and card.locked)


def _typed(round: Round, entries: Sequence[int]) -> dict[int, list[int | None]]:
    """Entry → throws of the card that was typed in (1 query)."""
    rows = CardLine.objects.filter(round=round, entry__in=entries, current=True)
    return dict(rows.values_list("entry_id", "throws"))


def _cell(
    entry_id: int, hole: str, desk: bool, cell: Merged | None, devices: Mapping[int, Device]
) -> PhoneCell:
    voices = [
        Voice(said.key, str(devices[said.device].key), _name(devices[said.device]), said.throws)
        for said in (cell.said if cell else ())
    ]
    return PhoneCell(entry_id, hole, desk, not desk and cell is not None and cell.differs, tuple(voices))


def _name(device: Device) -> str:
    if device.kind == Device.Kind.DESK:
        return "the desk"
    return device.name or "another phone"


def _yes(round: Round, state: CardState) -> tuple[Yes, ...]:
    """The newest confirmation of each player that was not taken back (1 query)."""
    totals = {player.entry_id: player.sum.total for player in state.players}
    rows = Confirmation.objects.filter(card__round=round, entry__in=totals, taken_back_at__isnull=True)
    newest = {row.entry_id: row for row in rows.order_by("pk")}
    return tuple(
        Yes(
            row.entry_id,
            row.total,
            row.by,
            row.at,
            row.source == Confirmation.Source.PAPER,
            row.total == totals[row.entry_id],
        )
        for row in newest.values()
    )
