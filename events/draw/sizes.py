"""How many groups, and of what size: 3 to 5 players, aiming at 4 (Competition Manual 2025, 1.06.G, H)."""

from collections import Counter
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SizeRule:
    """The sizes a group may have; the caller takes them from the rulebook (1.06.G, H)."""

    smallest: int = 3
    largest: int = 5
    aim: int = 4

    def fewest_groups(self, players: int) -> int:
        """Groups that `players` need when every group is as large as it may be."""
        return -(-players // self.largest)

    def most_groups(self, players: int) -> int:
        """Groups that `players` can fill without one below the smallest size (at least one)."""
        return max(1, players // self.smallest, self.fewest_groups(players))


class NotEnoughPlaces(ValueError):
    """More players than the free places hold, even in groups of the largest size."""

    def __init__(self, players: int, places: int, largest: int) -> None:
        self.players, self.places, self.largest = players, places, largest
        super().__init__(
            f"{players} players do not fit: {places} places hold {places * largest} in groups of {largest}."
        )


def even_sizes(players: int, groups: int) -> list[int]:
    """`players` over `groups` as evenly as can be, larger groups first."""
    size, over = divmod(players, groups)
    return [size + 1] * over + [size] * (groups - over)


def unevenness(players: int, groups: int, rule: SizeRule) -> int:
    """How far an even split lies from the ideal; lower is better.

    First the sum of squared distances from the aim, then the difference between the largest and the smallest
    group, then the size of the largest: 9 makes 5+4, 10 makes 5+5, 14 makes 4+4+3+3.
    """
    size, over = divmod(players, groups)
    squares = over * (size + 1 - rule.aim) ** 2 + (groups - over) * (size - rule.aim) ** 2
    return 100 * squares + 10 * (over > 0) + size + (over > 0)


def sizes(
    n: int, *, smallest: int = 3, largest: int = 5, aim: int = 4, limit_groups: int | None = None
) -> list[int]:
    """The best group sizes for `n` players, larger groups first.

    Never above `largest`; below `smallest` only when there is no other way (1 or 2 players), which
    `explain_sizes` says and the sheet's checks mark. `limit_groups` is the number of places there are.
    Raises NotEnoughPlaces.
    """
    if n <= 0:
        return []
    rule = SizeRule(smallest, largest, aim)
    few, most = rule.fewest_groups(n), rule.most_groups(n)
    if limit_groups is not None:
        if few > limit_groups:
            raise NotEnoughPlaces(n, limit_groups, largest)
        most = min(most, limit_groups)
    best = min(range(few, most + 1), key=lambda groups: unevenness(n, groups, rule))
    return even_sizes(n, best)


def explain_sizes(chosen: list[int], rule: SizeRule | None = None) -> str:
    """One line on why these sizes were chosen, for the notes of the draw."""
    rule = rule or SizeRule()
    n = sum(chosen)
    counted = sorted(Counter(chosen).items(), reverse=True)
    told = f"{n} in groups: " + ", ".join(f"{many} of {size}" for size, many in counted)
    if min(chosen) < rule.smallest:
        return f"{told}; too small, needs a recorded reason and an official (1.06.G, H)"
    if set(chosen) == {rule.aim}:
        return told
    free = sizes(n, smallest=rule.smallest, largest=rule.largest, aim=rule.aim)
    if sorted(free) == sorted(chosen):
        return f"{told}; nearest to {rule.aim}, then most even"
    return f"{told}; the places there are, or divisions that share, decide"
