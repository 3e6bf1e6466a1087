"""Who wins a game, as its facts stand: aces that count, best marks, tickets drawn. Pure but for its rows."""

from scoring.games.distances import distance_text
from scoring.games.marks import Measured, leaders
from scoring.games.models import Game
from scoring.games.states import GameState, Winner


def winners_of(state: GameState) -> list[Winner]:
    """Equal parts each: an ace is a part, so that two aces of one player are two. Other games: nobody by itself."""
    kind = state.game.kind
    if kind == Game.Kind.ACE:
        return _aces(state)
    if kind == Game.Kind.RAFFLE:
        return _tickets(state)
    return _best(state) if state.game.by_distance else []


def _aces(state: GameState) -> list[Winner]:
    return [
        Winner(ace.entry.person.name, f"ace, round {ace.round.number}, hole {ace.hole_label}", ace.entry_id)
        for ace in state.aces
        if ace.counts
    ]


def _best(state: GameState) -> list[Winner]:
    longest = state.game.kind == Game.Kind.LONGEST
    measured = [Measured(mark.pk, mark.entry_id, mark.cm) for mark in state.marks]
    best = {each.mark for each in leaders(measured, longest=longest)} if measured else set()
    return [
        Winner(mark.entry.person.name, distance_text(mark.cm, state.game.event.units), mark.entry_id)
        for mark in state.marks
        if mark.pk in best
    ]


def _tickets(state: GameState) -> list[Winner]:
    if state.draw is None:
        return []
    holders = {
        number: line
        for line in state.tickets
        for number in range(line.first_ticket or 0, line.last_ticket + 1)
    }
    return [
        Winner(holders[number].name, f"ticket {number}", holders[number].entry_id)
        for number in state.draw.drawn
    ]
