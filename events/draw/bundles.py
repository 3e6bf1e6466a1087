"""What a way of sharing groups among divisions costs: which mixtures are worse than which.

A bundle is a set of divisions whose players are put in one line and cut into groups, so that only the groups
at a seam mix divisions. Costs are whole numbers with one field per concern, so that a lower concern never
outweighs a higher one. The order of the concerns: group size (Competition Manual 2025, 1.06.G, H),
professionals apart from amateurs and divisions together (1.06.A); the rest is common practice, no source.
"""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate, pairwise, permutations

from events.draw.ordering import division_key
from events.draw.sizes import SizeRule, even_sizes, unevenness

EXCESS = 10**28  # a group for which there is no place
SMALL = 10**25  # a group below the smallest size
CLASSES = 10**22  # a group of professionals and amateurs
JUNIORS = 10**19  # a group of a junior division with another
MIXED = 10**16  # a group of several divisions
TORN = MIXED  # each part of a division that would fit one group but is cut, each player sent away alone
EXTRA = 10**12  # each further division in a mixed group
UNEVEN = 10**6  # squared distance of a group's size from the aim
APART = 1  # divisions of unlike kind: last of all, decides between equals

ANY_SIZES = 40  # players of a bundle up to which its groups may differ by more than one

Row = tuple[tuple[str, int], ...]  # one group: how many players of which division


@dataclass(frozen=True, slots=True)
class Unit:
    """The players of one division on one layout, as the search counts them."""

    code: str
    count: int
    professional: bool = False
    junior: bool = False


Bundle = tuple[Unit, ...]


class Costs:
    """Costs of bundles under one size rule, remembered while one draw is searched for.

    `effort` is the number of players times orders of a bundle up to which its seams are tried one by one.
    """

    def __init__(self, rule: SizeRule, effort: int) -> None:
        self.rule = rule
        self._effort = effort
        self._known: dict[tuple[Bundle, int], int] = {}
        self._best: dict[Bundle, int] = {}
        self._steps: dict[tuple[Bundle, int], list[int]] = {}

    def best_groups(self, bundle: Bundle) -> int:
        """The number of groups that suits the bundle when places do not press."""
        if bundle not in self._best:
            count = players_in(bundle)
            few, most = self.rule.fewest_groups(count), self.rule.most_groups(count)
            near = count // self.rule.aim
            tries = {min(max(near + step, few), most) for step in (-1, 0, 1, 2)}
            self._best[bundle] = min(
                tries, key=lambda groups: (self.of(bundle, groups), unevenness(count, groups, self.rule))
            )
        return self._best[bundle]

    def steps(self, bundle: Bundle, step: int) -> list[int]:
        """What each group less (step -1) or more (step 1) than the best number adds to the cost.

        A later step never counts as cheaper than an earlier one, so that steps can be taken in order.
        """
        if (bundle, step) not in self._steps:
            count, groups, found = players_in(bundle), self.best_groups(bundle), [0]
            stop = self.rule.fewest_groups(count) if step < 0 else self.rule.most_groups(count)
            for now in range(groups, stop, step):
                change = self.of(bundle, now + step) - self.of(bundle, now)
                found.append(max(change, found[-1]))
            self._steps[bundle, step] = found[1:]
        return self._steps[bundle, step]

    def of(self, bundle: Bundle, groups: int) -> int:
        """The cost of cutting the bundle into so many groups."""
        known = self._known.get((bundle, groups))
        if known is None:
            effort = players_in(bundle) * sum(1 for _ in _orders(bundle))
            if len(bundle) > 1 and effort > self._effort:
                known = _even_cost(bundle, groups, self.rule) + _estimate(bundle, self.rule)
            else:
                known = best_cut(bundle, groups, self.rule)[0]
            self._known[bundle, groups] = known
        return known


def best_cut(bundle: Bundle, groups: int, rule: SizeRule) -> tuple[int, list[Row]]:
    """The cheapest way found to cut a bundle into `groups` groups: its cost, and the groups."""
    if len(bundle) == 1:
        rows: list[Row] = [((bundle[0].code, size),) for size in even_sizes(bundle[0].count, groups)]
        return _even_cost(bundle, groups, rule), rows
    return min((_cut_line(order, groups, rule) for order in _orders(bundle)), key=lambda cut: cut[0])


def _even_cost(bundle: Bundle, groups: int, rule: SizeRule) -> int:
    return sum(_size_cost(size, rule) for size in even_sizes(players_in(bundle), groups))


def _size_cost(size: int, rule: SizeRule) -> int:
    return UNEVEN * (size - rule.aim) ** 2 + SMALL * (size < rule.smallest)


def players_in(bundle: Bundle) -> int:
    """How many players the divisions of a bundle have together."""
    return sum(unit.count for unit in bundle)


def _orders(bundle: Bundle) -> Iterator[Bundle]:
    """Lines worth trying: up to four divisions every order (read backwards it is the same), else three."""
    if len(bundle) <= 4:
        for order in permutations(range(len(bundle))):
            if order[0] <= order[-1]:
                yield tuple(bundle[place] for place in order)
        return
    by_count = sorted(bundle, key=lambda unit: (-unit.count, division_key(unit.code)))
    yield bundle
    yield (by_count[0], *reversed(by_count[1:]))
    yield (by_count[0], *reversed(by_count[2:]), by_count[1])


def _cut_line(line: Bundle, groups: int, rule: SizeRule) -> tuple[int, list[Row]]:
    """Choose the size of each group along the line, so that the seams fall best.

    A short line may take any legal sizes, a long one only the two even ones, which a long line can afford.
    """
    players = players_in(line)
    ends = list(accumulate(unit.count for unit in line))
    even = even_sizes(players, groups)
    low, high = even[-1], even[0]
    if players <= ANY_SIZES and low >= rule.smallest:
        low, high = rule.smallest, rule.largest
    # best[place] = cost and sizes of the groups that hold the line up to that place
    best: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, ())}
    for rest in range(groups - 1, -1, -1):
        after: dict[int, tuple[int, tuple[int, ...]]] = {}
        for start, (cost, chosen) in best.items():
            for size in range(high, low - 1, -1):
                stop = start + size
                if not low * rest <= players - stop <= high * rest:
                    continue
                total = cost + _size_cost(size, rule) + _group_cost(_slice(line, ends, start, stop), rule)
                if stop not in after or total < after[stop][0]:
                    after[stop] = (total, (*chosen, size))
        best = after
    cost, chosen = best[players]
    rows: list[Row] = [
        tuple((unit.code, count) for unit, count in _slice(line, ends, start, stop))
        for start, stop in pairwise(accumulate(chosen, initial=0))
    ]
    return cost, rows


def _slice(line: Bundle, ends: list[int], start: int, stop: int) -> list[tuple[Unit, int]]:
    """Which divisions the places `start` to `stop` of the line belong to, and how many of each."""
    parts: list[tuple[Unit, int]] = []
    place = bisect_right(ends, start)
    while start < stop:
        reach = min(stop, ends[place])
        parts.append((line[place], reach - start))
        start = reach
        place += 1
    return parts


def _group_cost(parts: list[tuple[Unit, int]], rule: SizeRule) -> int:
    torn = sum(count < unit.count <= rule.largest for unit, count in parts)
    if len(parts) == 1:
        return TORN * torn
    torn += sum(count == 1 < unit.count for unit, count in parts)
    return _mixture([unit for unit, _ in parts]) + TORN * torn


def _mixture(units: list[Unit]) -> int:
    """The cost of one group in which these divisions meet."""
    cost = MIXED + EXTRA * (len(units) - 1)
    cost += CLASSES * (len({unit.professional for unit in units}) > 1)
    cost += JUNIORS * (len({unit.junior for unit in units}) > 1)
    return cost + APART * sum(_apart(one.code, other.code) for one, other in pairwise(units))


def _apart(one: str, other: str) -> int:
    """How unlike two divisions are: gender before open against age-protected, then steps of skill or age."""
    first, second = division_key(one), division_key(other)
    by_age = (first[3] >= 18) != (second[3] >= 18)
    return 200 * (first[2] != second[2]) + 100 * by_age + min(50, abs(first[3] - second[3]))


def _estimate(bundle: Bundle, rule: SizeRule) -> int:
    """A lower bound for a bundle too large to try every seam of: one mixed group per seam."""
    large = [unit for unit in bundle if unit.count >= rule.smallest]
    small = players_in(bundle) - players_in(tuple(large))
    guests = rule.largest - min(2, len(large))  # places in a seam's group beside its hosts
    seams = max(1, len(large) - 1, -(-small // guests))
    cost = MIXED * seams + EXTRA * (len(bundle) - 1)
    cost += CLASSES * (len({unit.professional for unit in bundle}) > 1)
    cost += JUNIORS * (len({unit.junior for unit in bundle}) > 1)
    return cost + APART * sum(_apart(one.code, other.code) for one, other in pairwise(bundle))
