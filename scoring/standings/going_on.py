"""A division's players after its cuts, one cut after the other. Pure.

A player who does not go on has completed all rounds in the manual's eyes (Competition Manual 2025, 1.08.E): what comes
after the cut is neither missing nor counted. Who qualifies and declines stands last of the qualifiers (1.08.D).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from scoring.standings.cutting import AtLine, CutResult, CutRule, CutState, cut
from scoring.standings.playing import PlayerLine, PlayerStatus
from scoring.standings.ranking import Standing, rank_division
from scoring.standings.tallying import WAITING, Group

CUT = "missed the cut"
DECLINED = "declined to play on"


@dataclass(frozen=True, slots=True)
class Decided:
    """What was decided at cuts, by the round they follow: ranks of a playoff, and who declined."""

    ranks: Mapping[int, Mapping[str, int]]
    declined: Mapping[int, frozenset[str]]


NOTHING = Decided({}, {})


def after_cuts(
    players: Sequence[PlayerLine], rules: Sequence[CutRule], decided: Decided = NOTHING
) -> tuple[list[PlayerLine], tuple[CutResult, ...]]:
    """The players with what each cut means for them, and the cuts; those after rounds that are not known are left out.

    A cut that is only projected changes nobody. What a player threw later says nothing about the cut.
    """
    known = {line.round for player in players for line in player.rounds}
    ordered = sorted((rule for rule in rules if rule.after_round in known), key=lambda rule: rule.after_round)
    lines, results = list(players), []
    for index, rule in enumerate(ordered):
        result = _cut(lines, rule, decided)
        results.append(result)
        if result.state is CutState.MADE:
            block = 2 * (len(ordered) - index)
            declined = decided.declined.get(rule.after_round, frozenset())
            lines = [_after(line, rule.after_round, result, block, declined) for line in lines]
    return lines, tuple(results)


def _cut(lines: Sequence[PlayerLine], rule: CutRule, decided: Decided) -> CutResult:
    """The standings at the cut: no later round is looked at."""
    playing = [_until(line, rule.after_round) for line in lines if line.out_after is None]
    standings = rank_division(playing)
    ranks = decided.ranks.get(rule.after_round, {})
    by_total = all(each.complete for each in standings if each.group is Group.RANKED)
    at_line = [
        AtLine(each.key, each.total if by_total else each.to_par, ranks.get(each.key)) for each in standings
    ]
    return cut(rule, at_line, field=len(standings), final=_final(lines, standings, rule.after_round))


def _until(line: PlayerLine, last: int) -> PlayerLine:
    """As the player stood at the cut: who leaves after it was still in it, and the place is nobody else's.

    Somebody disqualified with every card in was in it only if a later round is begun: else it may have come before."""
    rounds = tuple(each for each in line.rounds if each.round <= last)
    later = any(each.begun for each in line.rounds if each.round > last)
    was_in = all(each.whole for each in rounds) and (later or line.status is not PlayerStatus.DQ)
    return replace(line, rounds=rounds, status=PlayerStatus.IN if was_in else line.status)


def _final(lines: Sequence[PlayerLine], standings: Sequence[Standing], last: int) -> bool:
    """Every card before the cut is in, whole and decided, or the division has begun the round after it: then a missing
    card stays out."""
    if any(each.begun for line in lines for each in line.rounds if each.round > last):
        return True
    if any(each.undecided for line in lines for each in line.rounds if each.round <= last):
        return False
    whole = all(
        each.group not in WAITING and (each.group is not Group.RANKED or _every_round(each))
        for each in standings
    )
    return bool(standings) and whole


def _every_round(standing: Standing) -> bool:
    return all(each.complete for each in standing.rounds)


def _after(
    line: PlayerLine, after_round: int, result: CutResult, block: int, declined: frozenset[str]
) -> PlayerLine:
    if line.out_after is not None:
        return line
    if line.key not in result.through:
        return replace(line, out_after=after_round, out_words=CUT, block=block, made_cut=False)
    if line.key in declined:
        return replace(line, out_after=after_round, out_words=DECLINED, block=block - 1, made_cut=True)
    return replace(line, made_cut=True)
