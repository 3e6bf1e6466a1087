"""Which divisions share groups: the search for the fewest mixed groups, then the most even sizes.

Works on counts only, one layout at a time (players on different layouts can never share a group), and is
deterministic: the same counts always give the same plan. It finds the best on every small field that was
tried against all possible ways, save where every place is filled with a group of the largest size: there
one division could lend players to three others at once, which a line of divisions cannot show.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from events.draw.bundles import EXCESS, MIXED, Bundle, Costs, Row, Unit, best_cut, players_in
from events.draw.ordering import division_key
from events.draw.sizes import NotEnoughPlaces, SizeRule

EXHAUSTIVE = 6  # divisions up to which every way of bundling is tried (203 ways)
RESTARTS = 6  # further beginnings of the search with more divisions than that

Partition = tuple[Bundle, ...]


@dataclass(frozen=True, slots=True)
class SharedPlan:
    """The groups of one bundle of divisions, as counts."""

    codes: tuple[str, ...]
    rows: tuple[Row, ...]


def plan_groups(
    units: Sequence[Unit], rule: SizeRule, *, places: int | None = None, groups: int | None = None
) -> list[SharedPlan]:
    """The best groups for the divisions of one layout.

    `places` is the most groups that can start, `groups` the exact number that is wanted (the rating deal).
    Raises NotEnoughPlaces.
    """
    line = tuple(sorted((u for u in units if u.count), key=lambda u: division_key(u.code)))
    if not line:
        return []
    players = players_in(line)
    room = groups if groups is not None else places
    if room is not None and rule.fewest_groups(players) > room:
        raise NotEnoughPlaces(players, room, rule.largest)
    chosen = _Search(rule, places, groups, len(line)).best(line)
    plans = []
    for bundle, count in chosen:
        _, rows = best_cut(bundle, count, rule)
        plans.append(SharedPlan(tuple(unit.code for unit in bundle), tuple(rows)))
    return plans


class _Search:
    def __init__(self, rule: SizeRule, places: int | None, groups: int | None, divisions: int) -> None:
        self.rule = rule
        self.most = groups if groups is not None else places
        self.least = groups
        self.costs = Costs(rule, 300 if divisions <= EXHAUSTIVE else 80)

    def best(self, line: Bundle) -> list[tuple[Bundle, int]]:
        apart: Partition = tuple((unit,) for unit in line)
        cost, _ = self._weigh(apart)
        best = apart
        if cost >= MIXED:  # somebody must share
            if len(line) <= EXHAUSTIVE:
                best = min(_partitions(line), key=lambda way: self._weigh(way)[0])
            else:
                best = min(
                    (self._climb(start) for start in self._starts(line, apart)),
                    key=lambda way: self._weigh(way)[0],
                )
        return self._loosen(best)

    def _loosen(self, partition: Partition) -> list[tuple[Bundle, int]]:
        """Take apart bundles whose divisions do not meet in any group after all, if that costs nothing."""
        cost, counts = self._weigh(partition)
        loose: Partition = tuple(
            part
            for bundle, count in zip(partition, counts, strict=True)
            for part in _meeting(bundle, best_cut(bundle, count, self.rule)[1])
        )
        loose_cost, loose_counts = self._weigh(loose)
        if len(loose) > len(partition) and loose_cost <= cost:
            partition, counts = loose, loose_counts
        return list(zip(partition, counts, strict=True))

    def _starts(self, line: Bundle, apart: Partition) -> Iterator[Partition]:
        """Different ways to begin the search, so that it does not end on the first small hill."""
        yield apart
        small = tuple(unit for unit in line if unit.count < self.rule.smallest)
        yield _filled(small, *((unit,) for unit in line if unit not in small))
        pros = tuple(unit for unit in line if unit.professional)
        juniors = tuple(unit for unit in line if unit.junior and not unit.professional)
        amateurs = tuple(unit for unit in line if not unit.professional and not unit.junior)
        yield _filled(pros, amateurs, juniors)
        yield _filled(pros, (*amateurs, *juniors))
        yield (line,)
        chance = random.Random(len(line))  # noqa: S311 - the same counts must give the same plan
        for parts in range(2, RESTARTS + 2):
            places = [int(chance.random() * min(parts, len(line) - 1)) for _ in line]
            yield _filled(
                *(tuple(u for u, p in zip(line, places, strict=True) if p == n) for n in range(parts))
            )

    def _weigh(self, partition: Partition) -> tuple[int, list[int]]:
        """Cost of a partition, and the number of groups for each bundle within the places."""
        counts = [self.costs.best_groups(bundle) for bundle in partition]
        cost = sum(self.costs.of(bundle, count) for bundle, count in zip(partition, counts, strict=True))
        over = sum(counts)
        if self.most is not None and over > self.most:
            cost += self._change(partition, counts, -1, over - self.most)
        if self.least is not None and over < self.least:
            cost += self._change(partition, counts, 1, self.least - over)
        return cost, counts

    def _change(self, partition: Partition, counts: list[int], step: int, by: int) -> int:
        """Take away or add `by` groups where that costs least; returns the cost, changes `counts`."""
        offers = [
            (change, place)
            for place, bundle in enumerate(partition)
            for change in self.costs.steps(bundle, step)
        ]
        taken = sorted(offers)[:by]
        for _, place in taken:
            counts[place] += step
        return sum(change for change, _ in taken) + EXCESS * (by - len(taken))

    def _climb(self, partition: Partition) -> Partition:
        """Take the first neighbour that is better until there is none."""
        cost = self._weigh(partition)[0]
        better = True
        while better:
            better = False
            for near in _neighbours(partition):
                near_cost = self._weigh(near)[0]
                if near_cost < cost:
                    partition, cost, better = near, near_cost, True
                    break
        return partition


def _filled(*bundles: Bundle) -> Partition:
    """The bundles that hold a division."""
    return tuple(bundle for bundle in bundles if bundle)


def _partitions(line: Bundle) -> Iterator[Partition]:
    """Every way to put the divisions into bundles, one by one apart first."""
    if not line:
        yield ()
        return
    first, rest = line[0], line[1:]
    for way in _partitions(rest):
        yield ((first,), *way)
        for place, bundle in enumerate(way):
            yield (*way[:place], (first, *bundle), *way[place + 1 :])


def _meeting(bundle: Bundle, rows: Sequence[Row]) -> list[Bundle]:
    """The divisions of a bundle, parted into those that meet, directly or over others, in its groups."""
    parts: list[set[str]] = []
    for row in rows:
        codes = {code for code, _ in row}
        touched = [part for part in parts if part & codes]
        parts = [part for part in parts if not part & codes] + [codes.union(*touched)]
    return [tuple(unit for unit in bundle if unit.code in part) for part in parts]


def _neighbours(partition: Partition) -> Iterator[Partition]:
    """Partitions one move away: two bundles made one, a division moved, or two divisions exchanged."""
    for i, one in enumerate(partition):
        for j, other in enumerate(partition):
            rest = tuple(b for k, b in enumerate(partition) if k not in (i, j))
            if i < j:
                yield (_ordered(one + other), *rest)
                for a in one:
                    for b in other:
                        yield (_swapped(one, a, b), _swapped(other, b, a), *rest)
            elif i == j and len(one) > 1:
                for a in one:
                    yield (_without(one, a), (a,), *rest)
            if i != j and len(one) > 1:
                for a in one:
                    yield (_without(one, a), _ordered((*other, a)), *rest)


def _ordered(bundle: Bundle) -> Bundle:
    return tuple(sorted(bundle, key=lambda unit: division_key(unit.code)))


def _without(bundle: Bundle, unit: Unit) -> Bundle:
    return tuple(other for other in bundle if other is not unit)


def _swapped(bundle: Bundle, old: Unit, new: Unit) -> Bundle:
    return _ordered((*_without(bundle, old), new))
