"""A playoff hole by hole: who throws first, who is out, who is through. Pure.

Sudden death: the lowest on a hole stay, the others are out (Competition Manual 2025, 1.09.B.1). Aggregate: an announced
set of holes, the lowest total wins, and those still tied play sudden death over the same holes (1.09.B.2). The first
tee order is random; sudden death rotates it, the first going last (1.09.B.5-6); an aggregate follows the score of the
hole before (Official Rules 2025, 802.02), and so does the first sudden-death hole after it (1.09.B.7-8).

Where several places are at stake at a cut, the manual names no way of its own. Here the same comparison is made for
all of them: the lowest fill the places that are left as long as they are not more than these, and who is tied across
the line plays on for what is left. With one place this is the manual's sudden death.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

MOST_AGGREGATE_HOLES = 6  # Competition Manual 2025, 1.09.B.2


@dataclass(frozen=True, slots=True)
class Contest:
    """What was agreed and what was thrown.

    `players` in the tee order of the first hole. `places`: how many of them may win or go on. `aggregate`: how many
    holes are added up first, 0 for sudden death from the start. `holes`: throws of each hole played, by player.
    `declined`: players who do not play, or left after so many holes (0: did not start).
    """

    players: tuple[int, ...]
    places: int = 1
    aggregate: int = 0
    holes: tuple[Mapping[int, int], ...] = ()
    declined: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Step:
    """One hole: who played it in tee order, and who was through or out after it."""

    number: int
    order: tuple[int, ...]
    throws: Mapping[int, int]
    through: tuple[int, ...]
    out: tuple[int, ...]
    sudden_death: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """`through` and `out` in the order in which they became so; `playing` in tee order of the next hole, empty once
    it is decided. `sums`: throws of the aggregate, as far as played."""

    steps: tuple[Step, ...]
    through: tuple[int, ...]
    out: tuple[int, ...]
    playing: tuple[int, ...]
    sums: Mapping[int, int]

    @property
    def decided(self) -> bool:
        return not self.playing


class ContestWrong(ValueError):
    """The holes cannot be as they are written; the message is a sentence."""


def tee_order(players: Sequence[int], seed: str) -> tuple[int, ...]:
    """The players in the random order of the first hole. The same list and seed give the same order: hand them over by
    name, so that anybody can repeat it without the numbers of this installation."""
    order = list(players)
    random.Random(seed).shuffle(order)  # noqa: S311 - a recorded seed, so that anybody can repeat it
    return tuple(order)


def by_last_hole(order: Sequence[int], throws: Mapping[int, int]) -> tuple[int, ...]:
    """Lowest on the hole before first, equals keeping their order (Official Rules 2025, 802.02)."""
    return tuple(sorted(order, key=lambda player: throws[player]))


def rotated(order: Sequence[int]) -> tuple[int, ...]:
    """The first goes last (Competition Manual 2025, 1.09.B.6)."""
    return (*order[1:], *order[:1])


def play(contest: Contest) -> Outcome:
    """Follow the holes one after the other. Raises ContestWrong for holes that cannot be."""
    _check(contest)
    state = _State(contest)
    for number, throws in enumerate(contest.holes):
        state.leave(number)
        state.hole(number, throws)
    state.leave(len(contest.holes))
    return state.outcome()


def _check(contest: Contest) -> None:
    if len(set(contest.players)) != len(contest.players) or not contest.players:
        raise ContestWrong("Each player stands in a playoff once.")
    if not 1 <= contest.places < len(contest.players):
        raise ContestWrong("There must be fewer places at stake than players.")
    if not 0 <= contest.aggregate <= MOST_AGGREGATE_HOLES:
        raise ContestWrong(f"An aggregate playoff has at most {MOST_AGGREGATE_HOLES} holes.")
    if not set(contest.declined) <= set(contest.players):
        raise ContestWrong("Only a player of the playoff can decline it.")


class _State:
    """The playoff after each hole."""

    def __init__(self, contest: Contest) -> None:
        self.contest = contest
        self.order: tuple[int, ...] = contest.players
        self.through: list[int] = []
        self.out: list[int] = []
        self.steps: list[Step] = []
        self.sums: dict[int, int] = {}

    @property
    def left(self) -> int:
        return self.contest.places - len(self.through)

    def leave(self, number: int) -> None:
        """Who declines before hole `number` is out; where no more are left than places, all of them are through."""
        gone = [player for player in self.order if self.contest.declined.get(player) == number]
        self.order = tuple(player for player in self.order if player not in gone)
        self.out += gone
        if self.order and len(self.order) <= self.left:
            self.through += self.order
            self.order = ()

    def hole(self, number: int, throws: Mapping[int, int]) -> None:
        if not self.order:
            raise ContestWrong(f"Playoff hole {number + 1}: it was decided before this hole.")
        if set(throws) != set(self.order):
            raise ContestWrong(
                f"Playoff hole {number + 1}: a figure for each player who is still in it, and no other."
            )
        if any(figure < 1 for figure in throws.values()):
            raise ContestWrong(f"Playoff hole {number + 1}: nobody holes out in fewer than 1 throw.")
        order, sudden = self.order, number >= self.contest.aggregate
        through: tuple[int, ...] = ()
        out: tuple[int, ...] = ()
        if not sudden:
            for player in order:
                self.sums[player] = self.sums.get(player, 0) + throws[player]
            self.order = by_last_hole(order, throws)
            if number + 1 == self.contest.aggregate:
                through, out = self._compare(self.sums)
        else:
            through, out = self._compare(throws)
            self.order = tuple(player for player in rotated(order) if player in self.order)
        self.steps.append(Step(number, order, dict(throws), through, out, sudden))

    def _compare(self, figures: Mapping[int, int]) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Fill the places that are left from the lowest; who is tied across the line plays on."""
        best = sorted(self.order, key=lambda player: figures[player])
        left = self.left
        line = figures[best[left - 1]]
        level = [player for player in best if figures[player] == line]
        through = [player for player in best if figures[player] < line]
        out = [player for player in best if figures[player] > line]
        if len(through) + len(level) <= left:
            through, level = [*through, *level], []
        self.through += through
        self.out += out
        self.order = tuple(player for player in self.order if player in level)
        return tuple(through), tuple(out)

    def outcome(self) -> Outcome:
        return Outcome(tuple(self.steps), tuple(self.through), tuple(self.out), self.order, dict(self.sums))
