"""Splitting a round's field over its pools."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.candidates import Candidate
from events.draw.pools import Fill, NoPool, Pool, PoolSplit, SplitBy, split_into_pools


def field_of(**divisions: int) -> list[Candidate]:
    """Players with falling ratings and rising totals, so that key order is best first."""
    found: list[Candidate] = []
    for code, count in divisions.items():
        for _ in range(count):
            key = len(found) + 1
            found.append(Candidate(key, code, code[1] == "P", 1000 - key, key, totals=(50 + key,)))
    return found


def keys(split: PoolSplit) -> dict[int, list[int]]:
    return {number: [player.key for player in line] for number, line in split.members.items()}


def test_assigned_divisions_stay_together() -> None:
    pools = [Pool(1, divisions=frozenset({"MA1"})), Pool(2, divisions=frozenset({"MPO"}))]
    split = split_into_pools(field_of(MPO=4, MA1=3), pools)
    assert keys(split) == {1: [5, 6, 7], 2: [1, 2, 3, 4]}
    assert split.notes == ()


def test_a_division_named_by_two_pools_is_cut_over_those_two() -> None:
    both = frozenset({"MPO"})
    pools = [Pool(1, divisions=both), Pool(2, divisions=frozenset({"MA1"})), Pool(3, divisions=both)]
    split = split_into_pools(field_of(MPO=6, MA1=3), pools)
    assert keys(split) == {1: [1, 2, 3], 2: [7, 8, 9], 3: [4, 5, 6]}
    assert split.notes == ("MPO is split by rating, best first: 3 in pool 1, 3 in pool 3 (1.06.C.3).",)


def test_by_capacity_fills_the_first_pool_before_the_next() -> None:
    pools = [Pool(1, 8), Pool(2, 8)]
    split = split_into_pools(field_of(MPO=11), pools, fill=Fill.CAPACITY)
    assert {number: len(line) for number, line in split.members.items()} == {1: 8, 2: 3}
    assert keys(split)[1] == [1, 2, 3, 4, 5, 6, 7, 8]


def test_balanced_counts_what_is_already_in_a_pool() -> None:
    pools = [Pool(1, divisions=frozenset({"MA1"})), Pool(2)]
    split = split_into_pools(field_of(MPO=10, MA1=6), pools)
    assert {number: len(line) for number, line in split.members.items()} == {1: 8, 2: 8}


def test_by_score_the_best_play_last_with_tee_times() -> None:
    split = split_into_pools(field_of(MPO=8), [Pool(1), Pool(2)], by=SplitBy.SCORE, best_last=True)
    assert keys(split) == {1: [5, 6, 7, 8], 2: [1, 2, 3, 4]}


def test_by_score_a_missing_card_plays_with_the_last() -> None:
    players = [*field_of(MPO=7), Candidate(99, "MPO", True, 1100, 1, totals=(None,))]
    split = split_into_pools(players, [Pool(1), Pool(2)], by=SplitBy.SCORE)
    assert keys(split) == {1: [1, 2, 3, 4], 2: [5, 6, 7, 99]}


def test_a_division_too_small_for_two_groups_stays_whole() -> None:
    split = split_into_pools(field_of(MPO=12, FPO=5), [Pool(1), Pool(2)])
    pools_of_women = {n for n, line in split.members.items() for p in line if p.division == "FPO"}
    assert len(pools_of_women) == 1
    assert sorted(len(line) for line in split.members.values()) == [8, 9]


def test_too_many_for_the_pools_are_placed_and_told() -> None:
    split = split_into_pools(field_of(MPO=10), [Pool(1, 4), Pool(2, 4)], fill=Fill.CAPACITY)
    assert {number: len(line) for number, line in split.members.items()} == {1: 5, 2: 5}
    assert split.notes[1:] == ("Pool 1 has 5 players, 4 places.", "Pool 2 has 5 players, 4 places.")


def test_players_without_a_pool_are_refused() -> None:
    with pytest.raises(NoPool, match="no pool"):
        split_into_pools(field_of(MPO=3), [])


@settings(deadline=None, max_examples=60)
@given(
    st.dictionaries(st.sampled_from(["MPO", "FPO", "MA1", "MA2"]), st.integers(1, 25)),
    st.lists(st.none() | st.integers(0, 30), min_size=1, max_size=4),
    st.sampled_from(Fill),
    st.sampled_from(SplitBy),
    st.booleans(),
    st.randoms(use_true_random=False),
)
def test_everybody_is_in_one_pool_whatever_the_order_of_input(  # type: ignore[no-untyped-def]
    divisions: dict[str, int], capacities: list[int | None], fill: Fill, by: SplitBy, best_last: bool, chance
) -> None:
    players = field_of(**divisions)
    pools = [Pool(number, capacity) for number, capacity in enumerate(capacities, 1)]
    split = split_into_pools(players, pools, by=by, fill=fill, best_last=best_last)
    placed = Counter(key for line in keys(split).values() for key in line)
    assert placed == Counter(player.key for player in players)
    mixed = list(players)
    chance.shuffle(mixed)
    assert keys(split_into_pools(mixed, pools, by=by, fill=fill, best_last=best_last)) == keys(split)
