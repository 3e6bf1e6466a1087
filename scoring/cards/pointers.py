"""What the rules say about a card that is in: for the director to decide, never booked by itself.

A group's card room types one card of the group; the rule is about each player's own card. So these are pointers
with their source, not penalties.
"""

from events.rulebook.loader import Rulebook
from scoring.cards.arithmetic import WrittenLine, entry_faults, entry_penalty
from scoring.cards.states import CardState, PlayerLine


def pointers(state: CardState, rulebook: Rulebook) -> tuple[str, ...]:
    """Sentences about a returned card: late (808.F), and own entries that are wrong or missing (808.G.2)."""
    if state.returned_at is None:
        return ()
    late = rulebook.value("card.late_throws")
    found = []
    if state.due_at is not None and state.returned_at > state.due_at:
        found.append(
            f"The card came late: +{rulebook.int(late.key)} for whoever handed it in late. {late.citation}."
        )
    wrong = rulebook.value("card.wrong_entry_throws")
    for player in state.players:
        throws = _throws_for(player, rulebook.int(wrong.key)) if player.playing else None
        if throws is not None:
            found.append(f"{player.name}: {throws} {wrong.citation}.")
    return tuple(found)


def _throws_for(player: PlayerLine, penalty: int) -> str | None:
    written = WrittenLine(player.throws, player.additional, player.written_total)
    faults = entry_faults(written, player.throws)
    if not faults:
        return None
    return f"{', '.join(faults)}; on the own card that is +{entry_penalty(faults, penalty)}, once."
