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

FULL_SEARCH = 80  # players x orders of a bundle up to which its seams are tried one by one

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
    """Costs of bundles under one size rule, remembered while one draw is searched for."""

    def __init__(self, rule: SizeRule) -> None:
        self.rule = rule
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
            chosen = even_sizes(players_in(bundle), groups)
            known = UNEVEN * sum((size - self.rule.aim) ** 2 for size in chosen)
            known += SMALL * sum(size < self.rule.smallest for size in chosen)
            if len(bundle) > 1:
                effort = players_in(bundle) * sum(1 for _ in _orders(bundle))
                known += (
                    best_cut(bundle, groups, self.rule)[0]
                    if effort <= FULL_SEARCH
                    else _estimate(bundle, self.rule)
                )
            self._known[bundle, groups] = known
        return known


def best_cut(bundle: Bundle, groups: int, rule: SizeRule) -> tuple[int, list[Row]]:
    """The cheapest way to cut a bundle into `groups` even groups: its cost without sizes, and the groups."""
    if len(bundle) == 1:
        return 0, [((bundle[0].code, size),) for size in even_sizes(bundle[0].count, groups)]
    return min((_cut_line(order, groups, rule) for order in _orders(bundle)), key=lambda cut: cut[0])


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
    """Decide which groups along the line are the larger ones, so that the seams fall best."""
    players = players_in(line)
    ends = list(accumulate(unit.count for unit in line))
    size, larger = divmod(players, groups)
    # best[used] = cost and sizes of the groups so far, of which `used` are the larger ones
    best: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, ())}
    for done in range(groups):
        after: dict[int, tuple[int, tuple[int, ...]]] = {}
        for used, (cost, chosen) in best.items():
            start = done * size + used
            for extra in (1, 0):
                now = used + extra
                if now > larger or larger - now > groups - done - 1:
                    continue
                total = cost + _group_cost(_slice(line, ends, start, start + size + extra), rule)
                if now not in after or total < after[now][0]:
                    after[now] = (total, (*chosen, size + extra))
        best = after
    cost, chosen = best[larger]
    stops = list(accumulate(chosen, initial=0))
    rows = [
        tuple((unit.code, count) for unit, count in _slice(line, ends, start, stop))
        for start, stop in pairwise(stops)
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
