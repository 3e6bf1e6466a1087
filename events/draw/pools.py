"""Splits a field that is too large for one start into the pools of its round.

Competition Manual 2025, 1.06.B and 1.06.C.3: a division that fits stays together in its pool; an over-large
one is split by rating, then drawn at random inside each pool; later rounds are split by score (1.06.D, E).
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from events.draw.candidates import Candidate
from events.draw.ordering import by_rating, by_score, division_key
from events.setup.apportioning import apportion

# A division below this size cannot make a legal group in each of two pools, so it stays in one.
TWO_GROUPS = 6


class SplitBy(StrEnum):
    """What an over-large division is split by: rating in round 1, score afterwards."""

    RATING = "rating"
    SCORE = "score"


class Fill(StrEnum):
    """How many players each pool gets: equal numbers, or the first full before the next begins."""

    BALANCED = "balanced"
    CAPACITY = "capacity"


@dataclass(frozen=True, slots=True)
class Pool:
    """A pool of the round in the order of play; `capacity` in players, None when nothing limits it."""

    number: int
    capacity: int | None = None
    divisions: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class PoolSplit:
    """Who plays in which pool (pool number -> players, best first) and what the director should know."""

    members: dict[int, tuple[Candidate, ...]]
    notes: tuple[str, ...] = ()


class NoPool(ValueError):
    """There are players but no pool to put them in."""


def split_into_pools(
    players: Iterable[Candidate],
    pools: Sequence[Pool],
    *,
    by: SplitBy = SplitBy.RATING,
    fill: Fill = Fill.BALANCED,
    best_last: bool = False,
) -> PoolSplit:
    """Put every player into one pool; `pools` come in the order of play.

    A division that one pool names stays together in it. One that several pools name is cut over those, one
    that none names over all of them: best players first, in proportion to the room that is left (but whole
    when it is too small for two groups). With `best_last` (tee times by score) the best play in the last
    pool. 144 players of one division over capacities 72 and 72 give the 72 highest ratings in the first
    (1.06.C.3). Nobody is turned away: a pool above its capacity is named in the notes. Raises NoPool.
    """
    divisions = _by_division(players, by)
    if divisions and not pools:
        raise NoPool("The round has no pool to put its players in.")
    members: dict[int, list[Candidate]] = {pool.number: [] for pool in pools}
    notes: list[str] = []
    for over, codes in _homes(divisions, pools):
        shares = _shares(over, members, sum(len(divisions[code]) for code in codes), fill, best_last)
        for code in sorted(codes, key=lambda code: len(divisions[code]) >= TWO_GROUPS):
            notes += _cut_division(code, divisions[code], shares, members, by)
    notes += _over_capacity(pools, members)
    return PoolSplit({number: tuple(line) for number, line in members.items()}, tuple(notes))


def _homes(codes: Iterable[str], pools: Sequence[Pool]) -> list[tuple[list[Pool], list[str]]]:
    """Divisions gathered by the pools that they may play in, the least free first."""
    found: defaultdict[tuple[int, ...], list[str]] = defaultdict(list)
    for code in codes:
        naming = tuple(place for place, pool in enumerate(pools) if code in pool.divisions)
        found[naming or tuple(range(len(pools)))].append(code)
    return [
        ([pools[place] for place in places], found[places])
        for places in sorted(found, key=lambda places: (len(places), places))
    ]


def _by_division(players: Iterable[Candidate], by: SplitBy) -> dict[str, list[Candidate]]:
    """Divisions in the order of the sheet, each with its players in order, best first."""
    found: defaultdict[str, list[Candidate]] = defaultdict(list)
    for player in players:
        found[player.division].append(player)
    order = by_rating if by is SplitBy.RATING else by_score
    return {code: order(found[code]) for code in sorted(found, key=division_key)}


def _shares(
    pools: Sequence[Pool], members: dict[int, list[Candidate]], loose: int, fill: Fill, best_last: bool
) -> dict[int, int]:
    """How many of the `loose` players each pool takes, in the order in which the best are handed out."""
    order = list(reversed(pools)) if best_last else list(pools)
    load = {pool.number: len(members[pool.number]) for pool in order}
    room = {pool.number: _room(pool, load[pool.number]) for pool in order}
    taken = dict.fromkeys(load, 0)
    # By capacity the pools fill in the order of play, whichever end the best players sit at.
    play_order = {pool.number: place for place, pool in enumerate(pools)}
    for _ in range(loose):
        open_pools = [n for n in taken if (cap := room[n]) is None or taken[n] < cap]
        if open_pools and fill is Fill.CAPACITY:
            chosen = min(open_pools, key=lambda n: play_order[n])
        else:
            chosen = min(open_pools or taken, key=lambda n: (load[n] + taken[n], play_order[n]))
        taken[chosen] += 1
    return taken


def _room(pool: Pool, load: int) -> int | None:
    return None if pool.capacity is None else max(0, pool.capacity - load)


def _cut_division(
    code: str,
    line: list[Candidate],
    shares: dict[int, int],
    members: dict[int, list[Candidate]],
    by: SplitBy,
) -> list[str]:
    """Cut one division over what the pools still take, and take that off their shares."""
    parts = _apportion(len(line), shares)
    roomiest = max(shares, key=lambda n: shares[n])
    if len(line) < TWO_GROUPS and shares[roomiest] >= len(line):
        parts = {roomiest: len(line)}
    start = 0
    told: list[str] = []
    for number, count in parts.items():
        members[number].extend(line[start : start + count])
        start += count
        shares[number] -= count
        if count:
            told.append(f"{count} in pool {number}")
    if len(told) < 2:
        return []
    return [f"{code} is split by {by.value}, best first: {', '.join(told)} (1.06.C.3)."]


def _apportion(count: int, shares: dict[int, int]) -> dict[int, int]:
    """`count` players over the pools in proportion to `shares`, by largest remainder, in whole players."""
    return dict(zip(shares, apportion(count, list(shares.values())), strict=True))


def _over_capacity(pools: Sequence[Pool], members: dict[int, list[Candidate]]) -> list[str]:
    return [
        f"Pool {pool.number} has {len(members[pool.number])} players, {pool.capacity} places."
        for pool in pools
        if pool.capacity is not None and len(members[pool.number]) > pool.capacity
    ]
