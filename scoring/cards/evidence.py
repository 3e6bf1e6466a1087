"""What stands beside an open card: who says what, who confirmed, photos, radio calls, whether it is verified."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.urls import reverse

from events.setup.models import Event, Role, Round
from scoring.cards.deciding import compared
from scoring.cards.models import Card, CardPhoto, RadioCall
from scoring.cards.signing import EVIDENCE, Confirmed
from scoring.cards.states import CardState


@dataclass(frozen=True, slots=True)
class Signed:
    """One player's line of the confirmations; `said` None: not confirmed yet."""

    entry_id: int
    name: str
    total: int | None
    said: Confirmed | None
    can: bool


@dataclass(frozen=True, slots=True)
class Heard:
    """A radio call: players with their score to par, as they were called together."""

    key: str
    at: datetime
    by: str
    through: int
    figures: tuple[tuple[str, int], ...]
    taken_back: bool


def _farther(heard: Sequence[Heard]) -> Heard | None:
    """The call that counts in place of the newest one, because it says more holes; None: the newest counts."""
    stands = [call for call in heard if not call.taken_back]
    farthest = max(stands, key=lambda call: (call.through, call.at), default=None)
    return farthest if farthest is not None and farthest.through > stands[0].through else None


def evidence_context(
    event: Event,
    round: Round,
    state: CardState,
    said: Mapping[int, Confirmed],
    *,
    can_write: bool,
    role: Role | None,
) -> dict[str, Any]:
    """Everything beside the grid of an open card (15 queries); `said`: the players' confirmations by entry."""
    card = Card.objects.filter(round=round, group_number=state.number).first()
    locked = card is not None and card.locked
    found = compared(round, state.number)
    heard = _heard(round, state)
    url = {
        name: reverse(f"cards:{name}", args=[event.slug, round.number, state.number])
        for name in ("cells", "verify", "unlock", "sign", "photo")
    }
    return {
        "lock": card if locked else None,
        "differing": found.cells if not locked else (),
        "late": found.cells if locked else (),
        "radio_said": found.radio,
        "totals_read": found.totals,
        "cells_key": uuid4(),
        "signed": _signed(state, said),
        "evidence": EVIDENCE,
        "photos": list(CardPhoto.objects.filter(card=card, taken_back_at=None).defer("image"))
        if card
        else [],
        "heard": heard,
        "farther": _farther(heard),
        "evidence_urls": url,
        "can_verify": can_write and not locked and state.complete and not found.cells and not state.conflicts,
        "can_unlock": locked and role is Role.DIRECTOR and event.over_at is None,
        "may_write": can_write and event.over_at is None,
        "may_see": can_write,
    }


def _signed(state: CardState, said: Mapping[int, Confirmed]) -> list[Signed]:
    lines = []
    for player in state.players:
        throws = [each for each in player.throws if each is not None]
        whole = len(throws) == len(player.throws)
        total = sum(throws) + player.additional if throws else None
        held = said.get(player.entry_id)
        lines.append(
            Signed(player.entry_id, player.name, total, held, whole and (held is None or not held.holds))
        )
    return lines


def _heard(round: Round, state: CardState) -> list[Heard]:
    """Radio calls of the group, newest first (1 query)."""
    names = {player.entry_id: player.family_name for player in state.players}
    calls: dict[str, list[RadioCall]] = {}
    rows = RadioCall.objects.filter(round=round, card__group_number=state.number)
    for row in rows.order_by("-at", "pk"):
        calls.setdefault(str(row.key), []).append(row)
    return [
        Heard(
            key,
            rows[0].at,
            rows[0].by,
            rows[0].through,
            tuple((names.get(row.entry_id, "moved"), row.to_par) for row in rows),
            rows[0].taken_back_at is not None,
        )
        for key, rows in calls.items()
    ]
