"""Which cards two sources agree on, so that somebody may verify them all at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from events.setup.models import Round
from scoring.cards.merging import by_device
from scoring.cards.models import CardVersion, Ruling
from scoring.cards.restanding import said_of
from scoring.cards.states import CardState

SECOND_AGREES = "a second entry says the same"
PHONE_AGREES = "the typed card and a phone say the same"
PHONES_AGREE = "two phones say the same"
TOTALS_AGREE = "the totals that the players wrote agree"


@dataclass(frozen=True, slots=True)
class Ready:
    """A card that can be verified, and what that rests on; `why` "": complete, from one source alone."""

    number: int
    why: str


def ready_cards(round: Round, states: Sequence[CardState]) -> list[Ready]:
    """Complete cards on which nothing differs and that are not verified, by number (3 queries; none waiting: 0). One
    with a ruling of which nobody has said whether it is written already is looked at by itself."""
    waiting = [
        state
        for state in states
        if not state.verified and state.players and state.complete and not state.conflicts
    ]
    if not waiting:
        return []
    seconds = set(
        CardVersion.objects.filter(card__round=round, state=CardVersion.State.AGREES).values_list(
            "card__group_number", flat=True
        )
    )
    entries = [player.entry_id for state in waiting for player in state.players]
    asked = set(
        Ruling.objects.filter(round=round, entry__in=entries, in_card=None, taken_back_at=None).values_list(
            "entry_id", flat=True
        )
    )
    phones = by_device(said_of(round, entries))
    found = []
    for state in waiting:
        agree, differ = _phones(state, phones)
        if not differ:
            unasked = any(player.entry_id in asked for player in state.players)
            why = "" if unasked else _why(state, state.number in seconds, agree)
            found.append(Ready(state.number, why))
    return found


def _phones(state: CardState, phones: Mapping[int, Mapping[tuple[int, str], int | None]]) -> tuple[int, bool]:
    """How many devices have every hole as it stands, and whether one says something else."""
    stands = {
        (player.entry_id, hole.label): throws
        for player in state.players
        if player.playing
        for hole, throws in zip(state.layout.holes, player.throws, strict=True)
    }
    agree = sum(all(said.get(cell) == throws for cell, throws in stands.items()) for said in phones.values())
    differ = any(
        said.get(cell) not in {None, throws} for said in phones.values() for cell, throws in stands.items()
    )
    return agree, differ


def _why(state: CardState, second: bool, phones: int) -> str:
    if second:
        return SECOND_AGREES
    if phones and state.base:
        return PHONE_AGREES
    if phones > 1:
        return PHONES_AGREE
    playing = [player for player in state.players if player.playing]
    totals = [player.written_total for player in playing]
    sums = [sum(throws or 0 for throws in player.throws) + player.additional for player in playing]
    return TOTALS_AGREE if totals == sums else ""
