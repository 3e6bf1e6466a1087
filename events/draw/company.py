"""Parts pairs that have played together, by exchanging players of one division between groups.

Only for a random draw: every other method says who plays with whom. Common practice, no source.
"""

import random
from collections import defaultdict
from collections.abc import Iterable

from events.draw.candidates import Candidate

PATIENCE = 3  # exchanges tried per player before the rest is left as it is
MOST_TRIES = 2000


class Pairs:
    """The pairs of keys that have already played together."""

    def __init__(self, pairs: Iterable[frozenset[int]]) -> None:
        self._with: defaultdict[int, set[int]] = defaultdict(set)
        for pair in pairs:
            for key in pair:
                self._with[key] |= pair - {key}

    def of(self, player: Candidate, others: Iterable[Candidate]) -> int:
        """How many of `others` the player has already played with."""
        known = self._with.get(player.key)
        if not known:
            return 0
        return sum(other.key in known for other in others)


def pairs_again(members: list[Candidate], pairs: Pairs) -> int:
    """Pairs within one group that have already played together."""
    return sum(pairs.of(player, members) for player in members) // 2


def meet_new_people(
    drawn: list[list[Candidate]], pairs: Pairs, chance: random.Random
) -> list[list[Candidate]]:
    """Exchange players until no pair meets again or patience ends; returns the best state found.

    Sizes and the number of each division in every group stay as they are.
    """
    groups = [list(members) for members in drawn]
    players = sum(len(members) for members in groups)
    now = sum(pairs_again(members, pairs) for members in groups)
    best, best_seats = now, [list(members) for members in groups]
    unhappy = [_unhappy(members, pairs) for members in groups]
    for _ in range(min(MOST_TRIES, PATIENCE * players)):
        if not best:
            break
        seats = [(g, s) for g, those in enumerate(unhappy) for s in those]
        here = seats[int(chance.random() * len(seats))]
        swap = _best_exchange(groups, here, pairs, chance)
        if swap is None:
            continue
        there, change = swap
        _exchange(groups, here, there)
        for g in (here[0], there[0]):
            unhappy[g] = _unhappy(groups[g], pairs)
        now += change
        if now < best:
            best, best_seats = now, [list(members) for members in groups]
    return best_seats


def _unhappy(members: list[Candidate], pairs: Pairs) -> list[int]:
    """The seats of a group whose players meet somebody again."""
    return [seat for seat, player in enumerate(members) if pairs.of(player, members)]


Seat = tuple[int, int]  # index of the group, index in the group


def _best_exchange(
    groups: list[list[Candidate]], here: Seat, pairs: Pairs, chance: random.Random
) -> tuple[Seat, int] | None:
    """The exchange that leaves the fewest pairs, ties by chance, with its change in the number of pairs."""
    player = groups[here[0]][here[1]]
    found: list[tuple[int, float, Seat]] = []
    for g, members in enumerate(groups):
        if g == here[0]:
            continue
        for s, other in enumerate(members):
            if (other.division, other.layout) == (player.division, player.layout):
                change = _change(groups[here[0]], player, members, other, pairs)
                found.append((change, chance.random(), (g, s)))
    if not found:
        return None
    change, _, there = min(found)
    return there, change


def _change(
    home: list[Candidate], player: Candidate, away: list[Candidate], other: Candidate, pairs: Pairs
) -> int:
    before = pairs.of(player, home) + pairs.of(other, away)
    after = pairs.of(player, [p for p in away if p is not other])
    after += pairs.of(other, [p for p in home if p is not player])
    return after - before


def _exchange(groups: list[list[Candidate]], here: Seat, there: Seat) -> None:
    one, other = groups[here[0]][here[1]], groups[there[0]][there[1]]
    groups[here[0]][here[1]], groups[there[0]][there[1]] = other, one
