"""What one player's rounds come to: the result of each, the block of the list, and the words. Pure.

What is missing is never zero: a player without a needed card has no place.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

from scoring.cards.arithmetic import LineSum, line_total
from scoring.standings import wording
from scoring.standings.playing import PlayerLine, PlayerStatus, RoundLine, RoundStatus


class Group(IntEnum):
    """The blocks of a standings list, in their order."""

    RANKED = 0
    NOT_STARTED = 1
    NO_CARD = 2
    DNF = 3
    DQ = 4


WAITING = frozenset(
    {Group.NOT_STARTED, Group.NO_CARD}
)  # still in it, and without the score that a place needs

_ENDED = {
    PlayerStatus.DQ: (Group.DQ, "disqualified"),
    PlayerStatus.DNF: (Group.DNF, "did not finish"),
    PlayerStatus.WITHDRAWN: (Group.DNF, "withdrew"),
}


@dataclass(frozen=True)
class RoundResult:
    """One round in the standings; `total` and `to_par` are None without a scored hole, and partial unless
    `complete`."""

    round: int
    total: int | None
    to_par: int | None
    played: int
    holes: int
    complete: bool


@dataclass(frozen=True)
class Tally:
    """One player's rounds added up. `settled`: every round begun is complete."""

    player: PlayerLine
    results: tuple[RoundResult, ...]
    group: Group
    words: str
    holes: str
    total: int
    to_par: int
    settled: bool

    @property
    def met(self) -> tuple[int, ...]:
        """Rounds that count towards a total."""
        return tuple(result.round for result in self.results if result.complete)


def tally(player: PlayerLine, numbers: Sequence[int]) -> Tally:
    lines = _every_round(player, numbers)
    results = tuple(_result(line) for line in lines)
    group, words = _group(player, lines, results)
    now = _current(lines, results)
    return Tally(
        player=player,
        results=results,
        group=group,
        words=words,
        holes="" if now is None else wording.holes_text(now.played, now.holes),
        total=sum(result.total for result in results if result.total is not None),
        to_par=sum(result.to_par for result in results if result.to_par is not None),
        settled=all(
            result.complete or (line.status is RoundStatus.TO_COME and result.played == 0)
            for line, result in zip(lines, results, strict=True)
        ),
    )


def _result(line: RoundLine) -> RoundResult:
    throws = line.throws if line.throws is not None else (None,) * len(line.pars)
    sums: LineSum = line_total(throws, line.pars, line.additional)
    if line.called is not None and line.called.through > sums.played:
        call = line.called
        return RoundResult(line.round, call.total, call.to_par, call.through, len(line.pars), complete=False)
    return RoundResult(line.round, sums.total, sums.to_par, sums.played, len(line.pars), sums.complete)


def _every_round(player: PlayerLine, numbers: Sequence[int]) -> list[RoundLine]:
    own = {line.round: line for line in player.rounds}
    if len(own) != len(player.rounds):
        raise ValueError(f"{player.name} has a round twice.")
    return [
        (own.get(number) or RoundLine(number, None, ())) if player.counts(number) else _not_theirs(number)
        for number in numbers
    ]


def _not_theirs(number: int) -> RoundLine:
    """A round after the cut that a player did not make: played or not, it does not count (1.08.E)."""
    return RoundLine(number, None, (), status=RoundStatus.TO_COME)


def _group(
    player: PlayerLine, lines: Sequence[RoundLine], results: Sequence[RoundResult]
) -> tuple[Group, str]:
    if player.status in _ENDED:
        return _ENDED[player.status]
    missing = _missing(lines, results)
    if missing:
        return Group.NO_CARD, missing
    if not any(result.played for result in results):
        return Group.NOT_STARTED, player.starts or "not started"
    if player.out_words:
        return Group.RANKED, player.out_words
    now = _current(lines, results)
    if now is None or now.played == 0:
        return Group.RANKED, player.starts or "not started"
    return Group.RANKED, wording.through_text(now.played, now.holes)


def _missing(lines: Sequence[RoundLine], results: Sequence[RoundResult]) -> str:
    """Words for every round that should be complete and is not: over, or followed by one begun."""
    latest = max((line.round for line in lines if line.begun), default=0)
    return "; ".join(
        wording.missing_text(result.round, _blanks(line), result.holes)
        for line, result in zip(lines, results, strict=True)
        if not result.complete and (line.status is RoundStatus.OVER or line.round < latest)
    )


def _blanks(line: RoundLine) -> int:
    """Holes without a written score; what the radio said of them is none."""
    return len(line.pars) if line.throws is None else sum(score is None for score in line.throws)


def _current(lines: Sequence[RoundLine], results: Sequence[RoundResult]) -> RoundResult | None:
    """The latest round that has a score or is not just to come."""
    for line, result in zip(reversed(lines), reversed(results), strict=True):
        if result.played or line.status is not RoundStatus.TO_COME:
            return result
    return None
