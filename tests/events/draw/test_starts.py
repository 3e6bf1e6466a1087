"""Shotgun and tee-time starts over one or several layouts."""

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.starts import (
    Capacity,
    Start,
    TeePosition,
    TooManyGroups,
    UnknownStart,
    capacity,
    place_shotgun,
    place_tee_times,
    start_minutes,
    tee_time_capacity,
)


def loop(
    layout: int, holes: int, *, first_tee: int = 1, suffix: str = "", walks: list[int] | None = None
) -> list[TeePosition]:
    return [
        TeePosition(
            layout,
            n + 1,
            f"{n + 1}{suffix}",
            first_tee + n,
            3,
            walk_minutes=walks[n] if walks else None,
        )
        for n in range(holes)
    ]


def positions(starts: tuple[Start, ...], layout: int = 1) -> list[int]:
    return [start.position for start in starts if start.layout == layout]


def times(starts: tuple[Start, ...]) -> list[tuple[int, int]]:
    return [(start.minute_offset, start.position) for start in starts]


def test_a_full_shotgun_uses_every_hole_in_order() -> None:
    assert positions(place_shotgun([1] * 18, loop(1, 18))) == list(range(1, 19))


@pytest.mark.parametrize(
    ("groups", "used"),
    [
        (9, [1, 3, 5, 7, 9, 11, 13, 15, 17]),
        (12, [1, 2, 4, 5, 7, 8, 10, 11, 13, 14, 16, 17]),
        (1, [1]),
        (2, [1, 10]),
    ],
)
def test_empty_holes_are_spread_around_the_loop(groups: int, used: list[int]) -> None:
    assert positions(place_shotgun([1] * groups, loop(1, 18))) == used


def test_among_equal_spreads_the_shortest_walk_wins() -> None:
    walks = [9, 1] * 9
    assert positions(place_shotgun([1] * 9, loop(1, 18, walks=walks))) == [2, 4, 6, 8, 10, 12, 14, 16, 18]


def test_a_tee_taken_by_another_pool_is_left_free() -> None:
    starts = place_shotgun([1] * 3, loop(1, 4), taken={2})
    assert positions(starts) == [1, 3, 4]


def test_evening_out_the_gaps_never_moves_onto_a_taken_tee() -> None:
    assert positions(place_shotgun([1, 1], loop(1, 4), taken={3, 4})) == [1, 2]


def test_two_layouts_share_no_tee_although_labels_differ() -> None:
    tees = [*loop(1, 24), *loop(2, 12, first_tee=13, suffix="S")]
    starts = place_shotgun([1] * 16 + [2] * 8, tees)
    used = [start.tee for start in starts]
    assert len(used) == 24
    assert len(set(used)) == 24
    assert positions(starts, 2) == sorted(positions(starts, 2))


def test_a_layout_that_passes_a_tee_twice_starts_one_group_there() -> None:
    tees = loop(1, 9) + [TeePosition(1, n + 10, str(n + 10), n + 1, 3) for n in range(9)]
    starts = place_shotgun([1] * 9, tees)
    assert sorted(start.tee for start in starts) == list(range(1, 10))
    with pytest.raises(TooManyGroups, match="10 groups, but only 9 can start"):
        place_shotgun([1] * 10, tees)


def test_more_groups_than_tees_are_refused_with_the_number_of_places() -> None:
    tees = [*loop(1, 24), *loop(2, 12, first_tee=13, suffix="S")]
    with pytest.raises(TooManyGroups) as refusal:
        place_shotgun([1] * 18 + [2] * 7, tees)
    assert str(refusal.value) == ("25 groups, but only 24 can start, one group on each physical tee.")
    assert refusal.value.places == 24


def test_second_groups_go_on_a_short_hole_after_a_long_one() -> None:
    lengths = [100, 90, 240, 60, 200, 110]
    tees = [TeePosition(1, n, str(n), n, 3, length) for n, length in enumerate(lengths, 1)]
    starts = place_shotgun([1] * 8, tees, second_allowed=True)
    assert [(s.position, s.second) for s in starts[6:]] == [(4, True), (6, True)]
    assert not any(start.second for start in starts[:6])


def test_second_groups_go_by_par_where_a_length_is_missing() -> None:
    pars = [3, 5, 3, 4]
    tees = [TeePosition(1, n, str(n), n, par, 100 if n > 1 else None) for n, par in enumerate(pars, 1)]
    starts = place_shotgun([1] * 5, tees, second_allowed=True)
    assert (starts[4].position, starts[4].second) == (3, True)


def test_a_third_group_on_a_hole_is_never_made() -> None:
    with pytest.raises(TooManyGroups, match="9 groups, but only 8 can start, even with a second group"):
        place_shotgun([1] * 9, loop(1, 4), second_allowed=True)


def test_a_layout_without_tees_is_refused() -> None:
    with pytest.raises(UnknownStart, match="No tees are known for layout 3"):
        place_shotgun([3], loop(1, 4))


def test_starters_gap_follows_every_tenth_start() -> None:
    minutes = [start_minutes(slot, interval=10, gap_after=10, gap_minutes=10) for slot in (0, 9, 10, 20)]
    assert minutes == [0, 90, 110, 220]


def test_tee_times_from_one_hole() -> None:
    starts = place_tee_times([1, 1, 1], loop(1, 18), interval=8)
    assert times(starts) == [(0, 1), (8, 1), (16, 1)]


def test_best_group_last_from_the_first_starting_hole() -> None:
    starts = place_tee_times([1] * 4, loop(1, 18), interval=10, starting={1: [1, 10]}, best_last=True)
    assert times(starts) == [(10, 1), (10, 10), (0, 1), (0, 10)]


def test_an_odd_group_leaves_the_leaders_alone_at_the_end() -> None:
    starts = place_tee_times([1] * 3, loop(1, 18), interval=10, starting={1: [1, 10]}, best_last=True)
    assert times(starts) == [(10, 1), (0, 1), (0, 10)]


def test_layouts_that_start_from_one_tee_take_turns() -> None:
    tees = [*loop(1, 18), *loop(2, 12, suffix="S")]
    starts = place_tee_times([1, 2, 1, 2], tees, interval=9)
    assert [(start.tee, start.minute_offset) for start in starts] == [(1, 0), (1, 9), (1, 18), (1, 27)]


def test_a_starting_hole_that_is_not_there_is_refused() -> None:
    with pytest.raises(UnknownStart, match="no hole at position 19"):
        place_tee_times([1], loop(1, 18), interval=9, starting={1: [19]})


def test_an_interval_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one minute"):
        place_tee_times([1], loop(1, 18), interval=0)
    with pytest.raises(ValueError, match="at least one minute"):
        tee_time_capacity(60, interval=0)


def test_capacity_counts_physical_tees_once() -> None:
    tees = [*loop(1, 24), *loop(2, 12, first_tee=13)]
    assert capacity(tees) == Capacity(24, 96)
    assert capacity(tees, size=5, taken={1, 2}) == Capacity(22, 110)


def test_tee_time_capacity() -> None:
    assert tee_time_capacity(280, interval=8) == Capacity(36, 144)
    assert tee_time_capacity(110, interval=10, gap_after=10, gap_minutes=10, starting_holes=2) == Capacity(
        22, 88
    )


def room_for_all(groups: list[int], tees: list[TeePosition], taken: set[int]) -> bool:
    """Whether every set of layouts has as many free tees together as it has groups (the marriage theorem)."""
    demand = Counter(groups)
    return all(
        sum(demand[layout] for layout in some) <= len({t.tee for t in tees if t.layout in some} - taken)
        for size in range(1, len(demand) + 1)
        for some in combinations(demand, size)
    )


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.integers(3, 14), st.integers(1, 12), st.integers(0, 14)), min_size=1, max_size=3),
    st.sets(st.integers(1, 20), max_size=4),
)
def test_no_two_groups_stand_on_one_physical_tee(
    layouts: list[tuple[int, int, int]], taken: set[int]
) -> None:
    tees = [tee for n, (holes, first, _) in enumerate(layouts, 1) for tee in loop(n, holes, first_tee=first)]
    groups = [n for n, (_, _, count) in enumerate(layouts, 1) for _ in range(count)]
    if not room_for_all(groups, tees, taken):
        with pytest.raises(TooManyGroups):
            place_shotgun(groups, tees, taken=taken)
        return
    starts = place_shotgun(groups, tees, taken=taken)
    used = [start.tee for start in starts]
    assert len(set(used)) == len(groups)
    assert taken.isdisjoint(used)
    assert [start.group_index for start in starts] == list(range(len(groups)))
    for layout in set(groups):
        mine = positions(starts, layout)
        assert mine == sorted(mine)
    by_label = {(tee.layout, tee.position): tee.tee for tee in tees}
    assert all(by_label[start.layout, start.position] == start.tee for start in starts)
