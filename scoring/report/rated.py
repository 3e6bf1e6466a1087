"""The ratings of the reported rounds, each with the pool that it came from: no rating leaves without its method."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from scoring.ratings.compression import to_places
from scoring.ratings.pages import EDITION_WORDS, METHOD_WORDS
from scoring.ratings.queries import PoolRating


@dataclass(frozen=True, slots=True)
class RatedRound:
    """One rated round: `number` counts the pools of the event from 1."""

    rating: int
    number: int
    pool: PoolRating

    @property
    def ssa(self) -> Decimal:
        """The scratch scoring average of the pool, in throws; a rated round has one."""
        assert self.pool.rating.ssa is not None
        return to_places(self.pool.rating.ssa, 3)


@dataclass(frozen=True, slots=True)
class RatedRounds:
    """`rounds` by entry id and number of the round."""

    pools: tuple[PoolRating, ...]
    rounds: dict[tuple[int, int], RatedRound]

    def of(self, entry: int, number: int) -> RatedRound | None:
        """None: not rated."""
        return self.rounds.get((entry, number))

    def methods(self, divisions: Collection[str]) -> list[str]:
        """How each pool with a rated round of these divisions was rated, and by which edition, in words for paper."""
        shown = [
            pool
            for pool in self.pools
            if any(pool.members[each.key].division in divisions for each in pool.rating.ratings)
        ]
        editions = sorted({EDITION_WORDS[pool.rating.edition] for pool in shown})
        return [*map(method_words, shown), *(f"points per throw by the {words}" for words in editions)]


def rated_rounds(pools: Sequence[PoolRating]) -> RatedRounds:
    """Every rated round of the event."""
    found = {
        (pool.members[each.key].entry_id, pool.members[each.key].round): RatedRound(each.rating, number, pool)
        for number, pool in enumerate(pools, start=1)
        for each in pool.rating.ratings
    }
    return RatedRounds(tuple(pools), found)


def method_words(pool: PoolRating) -> str:
    """ "Round 1, Upper: one-parameter line, average 58.40"."""
    rating = pool.rating
    average = "none" if rating.ssa is None else to_places(rating.ssa, 2)
    return f"{pool.title}: {METHOD_WORDS[rating.method]}, average {average}"


def pool_facts(pool: PoolRating, number: int) -> dict[str, Any]:
    """A pool as the JSON of results has it; null is not known, or not rated with the reason in `refused`."""
    rating = pool.rating
    points = rating.points_per_throw
    return {
        "number": number,
        "title": pool.title,
        "rounds": list(pool.rounds),
        "layout": pool.layout.name,
        "holes": len(pool.labels),
        "method": rating.method.value,
        "edition": rating.edition,
        "ssa": None if rating.ssa is None else float(to_places(rating.ssa, 3)),
        "ssa_se": rating.ssa_se,
        "points_per_throw": None if points is None else float(points),
        "propagators": rating.people,
        "refused": rating.refused or None,
    }
