"""Places won and lost since the round before. Pure."""

from collections.abc import Sequence
from dataclasses import replace

from scoring.standings.playing import PlayerLine
from scoring.standings.ranking import Standing, rank_division


def moved(players: Sequence[PlayerLine], now: Sequence[Standing]) -> dict[str, int]:
    """Key → places better (+) or worse (−) than after the round before the latest begun; ties as ties.

    Nothing before a second round is begun, and nobody who had no place then or has none now.
    """
    latest = max((line.round for player in players for line in player.rounds if line.begun), default=0)
    earlier = [_before(player, latest) for player in players]
    if not any(player.rounds for player in earlier):
        return {}
    then = {each.key: each.place for each in rank_division(earlier)}
    return {
        each.key: before - each.place
        for each in now
        if each.place is not None and (before := then.get(each.key)) is not None
    }


def _before(player: PlayerLine, latest: int) -> PlayerLine:
    """A player as before the latest round; that somebody is out since does not change the place from before."""
    rounds = tuple(line for line in player.rounds if line.round < latest)
    if player.out_after is not None and player.out_after >= latest - 1:
        return replace(player, rounds=rounds, out_after=None, out_words="", block=0)
    return replace(player, rounds=rounds)
