"""Who goes on after a cut. Pure; the same input in any order gives the same answer.

A tie across the line is broken by a playoff unless it was made known that all who are tied go on (Competition Manual
2025, 1.08.B). The manual does not say how a percentage is rounded: up, as with paid places, so that the cut is never
tighter than what was announced.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class CutState(StrEnum):
    PROJECTED = "projected"
    TIED = "tied"
    MADE = "made"


@dataclass(frozen=True, slots=True)
class CutRule:
    """A cut after a round: so many players, or a percentage of those who started. `posted`: the list that went up."""

    after_round: int
    players: int | None = None
    percent: int | None = None
    all_tied: bool = False
    posted: frozenset[str] | None = None

    def size(self, field: int) -> int:
        """How many go on out of a field; never more than the field."""
        asked = self.players if self.players is not None else percent_of(self.percent or 0, field)
        return min(asked, field)


@dataclass(frozen=True, slots=True)
class AtLine:
    """One player at a cut: the score compared (None: no place there), and the rank of a playoff, if one was played."""

    key: str
    score: int | None
    rank: int | None = None


@dataclass(frozen=True, slots=True)
class CutResult:
    """`through` go on; `level` are tied across the line for `places` places while nothing has decided; `line` is the
    score of the last who goes on as it was compared (a total, or against par while cards are open), None without."""

    after_round: int
    size: int
    state: CutState
    through: frozenset[str]
    level: frozenset[str]
    places: int
    line: int | None
    differs: tuple[str, ...] = ()
    posted: bool = False


def percent_of(percent: int, field: int) -> int:
    """So many of a hundred, rounded up: 45 % of 20 is 9, of 21 is 10."""
    return (percent * field + 99) // 100


def cut(rule: CutRule, players: Sequence[AtLine], *, field: int, final: bool) -> CutResult:
    """Compare the players at the line. `field` is how many started; `final`: every card before the cut is in.

    With a posted list that list stands; `differs` then names who would be in or out by the cards as they are now.
    """
    size = rule.size(field)
    inside, level, line = _by_score(players, size)
    places = size - len(inside)
    if level and (rule.all_tied or len(level) <= places):
        inside, level, places = inside | level, frozenset(), 0
    if level and final:
        inside, level, places = _by_playoff(players, inside, level, places)
    state = CutState.PROJECTED if not final else CutState.TIED if level else CutState.MADE
    if rule.posted is None:
        return CutResult(rule.after_round, size, state, inside, level, places, line)
    # A tie that is not decided says nothing against the list that went up.
    clear = (inside - rule.posted) | (rule.posted - inside - level)
    differs = tuple(sorted(clear)) if final else ()
    return CutResult(
        rule.after_round, size, CutState.MADE, rule.posted, frozenset(), 0, line, differs, posted=True
    )


def _by_score(players: Sequence[AtLine], size: int) -> tuple[frozenset[str], frozenset[str], int | None]:
    """Who is clearly inside, who stands on the line, and the line."""
    scores = sorted(player.score for player in players if player.score is not None)
    if not scores or size < 1:
        return frozenset(), frozenset(), None
    line = scores[min(size, len(scores)) - 1]
    inside = frozenset(player.key for player in players if player.score is not None and player.score < line)
    level = frozenset(player.key for player in players if player.score == line)
    return inside, level, line


def _by_playoff(
    players: Sequence[AtLine], inside: frozenset[str], level: frozenset[str], places: int
) -> tuple[frozenset[str], frozenset[str], int]:
    """Those whom a playoff put through, if it was among exactly these players and for as many places."""
    ranks = {player.key: player.rank for player in players if player.key in level}
    chosen = frozenset(key for key, rank in ranks.items() if rank == 1)
    if None in ranks.values() or len(chosen) != places:
        return inside, level, places
    return inside | chosen, frozenset(), 0


def tighter_than_paid(size: int, paid: int | None) -> bool:
    """Whether fewer go on than are paid (Competition Manual 2025, 1.08.C). None: paid places are not known yet."""
    return paid is not None and size < paid
