"""Which divisions share groups: against every possible way on small fields, and the plain cases."""

from functools import lru_cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.bundles import Unit
from events.draw.ordering import division_key
from events.draw.sharing import plan_groups
from events.draw.sizes import NotEnoughPlaces, SizeRule

RULE = SizeRule()


def units_of(**divisions: int) -> list[Unit]:
    return [Unit(code, count, code[1] == "P", code[1] == "J") for code, count in divisions.items()]


def rows_of(units: list[Unit], places: int | None = None, groups: int | None = None) -> list[dict[str, int]]:
    plans = plan_groups(units, RULE, places=places, groups=groups)
    found = [dict(row) for plan in plans for row in plan.rows]
    return sorted(found, key=lambda row: [(division_key(code), count) for code, count in row.items()])


def test_divisions_that_fill_groups_of_their_own_stay_apart() -> None:
    assert rows_of(units_of(MA2=6, MA3=6)) == [{"MA2": 3}, {"MA2": 3}, {"MA3": 3}, {"MA3": 3}]


def test_few_places_make_the_left_over_share() -> None:
    assert rows_of(units_of(MA2=6, MA3=6), places=3) == [{"MA2": 2, "MA3": 2}, {"MA2": 4}, {"MA3": 4}]


def test_a_single_player_joins_a_division_without_tearing_it() -> None:
    assert rows_of(units_of(MA1=12, FA3=1)) == [{"MA1": 3, "FA3": 1}, {"MA1": 4}, {"MA1": 5}]


def test_small_divisions_of_one_class_make_one_group() -> None:
    assert rows_of(units_of(MPO=8, FA1=1, FA2=2, FA3=1)) == [
        {"MPO": 4},
        {"MPO": 4},
        {"FA1": 1, "FA2": 2, "FA3": 1},
    ]


def test_juniors_play_with_juniors() -> None:
    rows = rows_of(units_of(MA4=9, MJ12=2, FJ10=1))
    assert rows == [{"MA4": 4}, {"MA4": 5}, {"MJ12": 2, "FJ10": 1}]


def test_two_professionals_join_amateurs_rather_than_be_a_group_of_two() -> None:
    assert rows_of(units_of(FPO=2, FA1=6)) == [{"FPO": 2, "FA1": 2}, {"FA1": 4}]


def test_nobody_to_join_leaves_a_small_group() -> None:
    assert rows_of(units_of(MPO=2)) == [{"MPO": 2}]


def test_divisions_searched_together_that_do_not_meet_get_their_own_best_sizes() -> None:
    rows = rows_of(units_of(MA2=10, MA3=1, MJ12=2, MPO=1, MA40=4, FA1=6, FPO=22))
    assert [row for row in rows if "MA2" in row] == [{"MA2": 5}, {"MA2": 5}]


def test_a_fixed_number_of_groups_is_kept() -> None:
    assert [sum(row.values()) for row in rows_of(units_of(MA1=12), groups=4)] == [3, 3, 3, 3]
    assert [sum(row.values()) for row in rows_of(units_of(MA1=12), groups=3)] == [4, 4, 4]


def test_more_players_than_places_hold_are_refused() -> None:
    with pytest.raises(NotEnoughPlaces, match="11 players do not fit: 2 places hold 10"):
        plan_groups(units_of(MA1=6, MA2=5), RULE, places=2)


def worth(row: dict[str, int], units: dict[str, Unit]) -> tuple[int, int, int, int]:
    """What is wrong with a group: too small, classes, juniors, and mixing or tearing (own recount)."""
    met = [units[code] for code in row]
    torn = sum(count < units[code].count <= 5 for code, count in row.items())
    if len(met) > 1:
        torn += 1 + sum(count == 1 < units[code].count for code, count in row.items())
    return (
        int(sum(row.values()) < 3),
        int(len({unit.professional for unit in met}) > 1),
        int(len({unit.junior for unit in met}) > 1),
        torn,
    )


def add(one: tuple[int, ...], other: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(a + b for a, b in zip(one, other, strict=True))


def best_of_all(units: list[Unit], places: int) -> tuple[int, ...]:
    """The least that any way of grouping can have wrong, by trying them all."""
    by_code = {unit.code: unit for unit in units}

    @lru_cache(None)
    def rest(left: tuple[int, ...], groups: int) -> tuple[int, ...]:
        if not any(left):
            return (0, 0, 0, 0)
        if not groups:
            return (99, 0, 0, 0)
        first = next(place for place, count in enumerate(left) if count)
        best: tuple[int, ...] = (99, 0, 0, 0)
        for taken in product(*(range(count + 1) for count in left)):
            if taken[first] and sum(taken) <= 5:
                row = {unit.code: count for unit, count in zip(units, taken, strict=True) if count}
                after = tuple(a - b for a, b in zip(left, taken, strict=True))
                best = min(best, add(worth(row, by_code), rest(after, groups - 1)))
        return best

    return rest(tuple(unit.count for unit in units), places)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    st.dictionaries(
        st.sampled_from(["MPO", "FPO", "MA1", "FA1", "MJ12", "FJ10"]),
        st.integers(1, 6),
        min_size=1,
        max_size=4,
    ),
    st.none() | st.integers(1, 2),
)
def test_no_way_of_grouping_is_better(divisions: dict[str, int], spare: int | None) -> None:
    """With a place to spare; a field that fills every place in fives may share one group more than it must."""
    units = sorted(units_of(**divisions), key=lambda unit: division_key(unit.code))
    players = sum(divisions.values())
    places = None if spare is None else -(-players // 5) + spare
    by_code = {unit.code: unit for unit in units}
    found: tuple[int, ...] = (0, 0, 0, 0)
    for row in rows_of(units, places):
        found = add(found, worth(row, by_code))
    assert found == best_of_all(units, places if places is not None else players)
