"""What the rules say about a card that is in: for the director to decide, never booked by itself.

A group's card room types one card of the group; the rule is about each player's own card. So these are pointers
with their source, not penalties. What a player has confirmed on a phone is the own card: the total confirmed is the own
total, and figures that were put right afterwards were wrong on it.
"""

from collections.abc import Mapping

from events.rulebook.loader import Rulebook
from scoring.cards.arithmetic import EntryFault, WrittenLine, absent, entry_faults, entry_penalty
from scoring.cards.queries import ABSENCE_OVER_PAR
from scoring.cards.signing import Confirmed
from scoring.cards.states import CardState, PlayerLine

PHONE = "phone"


def pointers(
    state: CardState, rulebook: Rulebook, said: Mapping[int, Confirmed], *, typed: bool
) -> tuple[str, ...]:
    """Sentences about a returned card: late (808.F), and own entries that are wrong or missing (808.G.2).

    `said` are the players' confirmations by entry; `typed`: the card room typed the totals that were written. Nothing
    is said of entries while the card still differs: what is right is not known yet.
    """
    if state.returned_at is None:
        return ()
    found = [_late(state, rulebook, said)] if state.late else []
    if state.conflicts or state.open_holes:
        return tuple(found)
    wrong = rulebook.value("card.wrong_entry_throws")
    penalty, over_par = rulebook.int(wrong.key), rulebook.int(ABSENCE_OVER_PAR)
    for player in state.players:
        if player.playing and not _away(player, state, over_par):
            words = _own_entry(player, said.get(player.entry_id), penalty, typed=typed)
            found += [f"{player.name}: {words} {wrong.citation}."] if words else []
    return tuple(found)


def _late(state: CardState, rulebook: Rulebook, said: Mapping[int, Confirmed]) -> str:
    late = rulebook.value("card.late_throws")
    words = f"The card came late: +{rulebook.int(late.key)} for whoever handed it in late. {late.citation}."
    phones = [each.at for each in said.values() if each.source == PHONE]
    if phones and max(phones) == state.came_in_at:
        words += (
            " The time is that of the last confirmation on a phone: one without a connection sends later."
        )
    return words


def _away(player: PlayerLine, state: CardState, over_par: int) -> bool:
    """Absent for the whole round: there is no own card that anything could be wrong on."""
    return all(
        throws == absent(par, over_par) for throws, par in zip(player.throws, state.layout.pars, strict=True)
    )


def _own_entry(player: PlayerLine, said: Confirmed | None, penalty: int, *, typed: bool) -> str:
    """What is wrong with the own card, "" for nothing that is known."""
    if said is not None and said.source == PHONE:
        return "" if said.same_holes else _confirmed_wrong(player, said, penalty)
    if not typed:
        return ""
    written = WrittenLine(player.throws, player.additional, player.written_total)
    faults = [
        fault
        for fault in entry_faults(written, player.throws)
        if not (fault is EntryFault.TOTAL_MISSING and said is not None)
    ]
    if not faults:
        return ""
    return f"{', '.join(faults)}; on the own card that is +{entry_penalty(faults, penalty)}, once."


def _confirmed_wrong(player: PlayerLine, said: Confirmed, penalty: int) -> str:
    scored = [throws for throws in player.throws if throws is not None]
    if len(scored) < len(player.throws):
        return ""
    total = sum(scored) + player.additional
    what = (
        f"{said.total} was confirmed, and other hole scores are right"
        if said.total == total
        else f"{said.total} was confirmed, and {total} is right"
    )
    return f"{what}; unless it was put right before the card was in, that is +{penalty}, once."
