"""Whether the rounds of one layout differ so much that they should not share an average. Pure.

Two tests, shown beside the director's decision. Over all propagators: one line for all rounds against lines of the
same slope, one a round (the usual F-test of nested lines). And over the players of all these rounds, who are compared
with themselves, which is the sharper one (repeated measures; for two rounds it is the paired t-test).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from scoring.ratings.propagators import Propagator
from scoring.ratings.student import f_above


@dataclass(frozen=True)
class Shared:
    """The players of all rounds: their mean score in each (round → throws), F, and the chance of so large a one."""

    players: int
    means: tuple[tuple[int, float], ...]
    f: float
    chance: float


@dataclass(frozen=True)
class Differ:
    """`f` with (`upper`, `lower`) degrees of freedom and its `chance`; all None where nothing can be tested."""

    f: float | None
    upper: int
    lower: int
    chance: float | None
    shared: Shared | None

    def differs(self, percent: float) -> bool | None:
        """Whether the rounds differ by the sharper test that there is; None: not known."""
        chance = self.shared.chance if self.shared is not None else self.chance
        return None if chance is None else chance * 100 < percent

    @property
    def words(self) -> str:
        if self.shared is not None:
            one = self.shared
            means = ", ".join(f"{mean:.2f} in round {number}" for number, mean in one.means)
            return (
                f"{one.players} propagators threw all of these rounds, on average {means}; by chance alone so much or"
                f" more would be seen in {one.chance * 100:.1f} of 100 cases."
            )
        if self.chance is None:
            return "There are too few propagators to test whether the rounds differ."
        return (
            f"A line for each round fits better than one for all with F = {self.f:.2f} ({self.upper} and {self.lower}"
            f" degrees of freedom); by chance alone so much or more would be seen in {self.chance * 100:.1f} of 100"
            " cases."
        )


def differ(rounds: Mapping[int, Sequence[Propagator]]) -> Differ:
    """Compare the rounds (number → propagators) of one layout."""
    held = {number: found for number, found in rounds.items() if found}
    shared = _shared(held)
    upper = len(held) - 1
    lower = sum(len(found) for found in held.values()) - len(held) - 1
    if upper < 1 or lower < 1:
        return Differ(None, max(upper, 0), max(lower, 0), None, shared)
    one = _left([[(each.rating, each.score) for found in held.values() for each in found]])
    apart = _left([[(each.rating, each.score) for each in found] for found in held.values()])
    if apart is None or one is None or apart <= 1e-9:
        return Differ(None, upper, lower, None, shared)
    f = max((one - apart) / upper / (apart / lower), 0.0)
    return Differ(f, upper, lower, f_above(f, upper, lower), shared)


def _left(groups: Sequence[Sequence[tuple[int, int]]]) -> float | None:
    """Sum of squares that lines of one slope, one through the means of each group, leave; None without a slope."""
    sxx = sxy = syy = 0.0
    for group in groups:
        mean_x, mean_y = fmean(x for x, _ in group), fmean(y for _, y in group)
        sxx += sum((x - mean_x) ** 2 for x, _ in group)
        sxy += sum((x - mean_x) * (y - mean_y) for x, y in group)
        syy += sum((y - mean_y) ** 2 for _, y in group)
    return syy - sxy * sxy / sxx if sxx > 1e-9 else None


def _shared(rounds: Mapping[int, Sequence[Propagator]]) -> Shared | None:
    """At least three players in all rounds; None also where every player's rounds differ by exactly the same."""
    numbers = sorted(rounds)
    if len(numbers) < 2:
        return None
    scores = [{each.person or each.key: each.score for each in rounds[number]} for number in numbers]
    players = sorted(set.intersection(*(set(each) for each in scores)))
    if len(players) < 3:
        return None
    table = [[each[player] for each in scores] for player in players]
    means = [fmean(row[at] for row in table) for at in range(len(numbers))]
    overall = fmean(means)
    upper, lower = len(numbers) - 1, (len(numbers) - 1) * (len(players) - 1)
    between = len(players) * sum((mean - overall) ** 2 for mean in means)
    left = sum(
        (score - fmean(row) - mean + overall) ** 2
        for row in table
        for score, mean in zip(row, means, strict=True)
    )
    if left < 1e-9:
        return None
    f = between / upper / (left / lower)
    return Shared(len(players), tuple(zip(numbers, means, strict=True)), f, f_above(f, upper, lower))
