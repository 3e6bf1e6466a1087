"""Draws without regard to divisions: sizes, layouts, order, and what may not depend on anything else."""

from itertools import chain

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.across import draw_by_score_across, draw_random_across
from events.draw.candidates import Candidate
from events.draw.drawn import Draw
from events.draw.sizes import NotEnoughPlaces, sizes

DIVISIONS = ("MPO", "FPO", "MA1", "FA40", "MJ12")


def player(key: int, division: str, *, total: int | None = None, layout: int = 1) -> Candidate:
    return Candidate(
        key, division, division[1] == "P", 1000 - key, key, f"S{key}", "G", (total,), layout=layout
    )


def keys(draw: Draw) -> list[list[int]]:
    return [[each.key for each in group.members] for group in draw.groups]


@st.composite
def fields(draw: st.DrawFn) -> list[Candidate]:
    """Players of several divisions on two layouts, some without a card."""
    codes = draw(st.lists(st.sampled_from(DIVISIONS), min_size=1, max_size=60))
    return [
        player(
            key,
            code,
            total=draw(st.none() | st.integers(40, 99)),
            layout=2 if code == "MJ12" else 1,
        )
        for key, code in enumerate(codes, start=1)
    ]


def test_divisions_meet_and_a_recorded_seed_gives_this_draw_for_ever() -> None:
    field = [player(key, DIVISIONS[key % 2]) for key in range(1, 9)]
    draw = draw_random_across(field, "evening-1")
    assert keys(draw) == [[5, 2, 1, 7], [4, 6, 8, 3]]
    assert draw.groups[0].divisions == ("MPO", "FPO")
    assert draw.groups[0].reason == "MPO, FPO at random, whatever the division"
    assert draw.notes == ()


def test_sizes_that_are_not_the_aim_are_told() -> None:
    assert draw_random_across([player(key, "MA1") for key in range(1, 10)], 1).notes == (
        "9 in groups: 1 of 5, 1 of 4; nearest to 4, then most even.",
    )


def test_by_total_the_leaders_stand_together_whatever_their_division() -> None:
    totals = {1: 60, 2: 50, 3: 55, 4: None, 5: 50, 6: 58, 7: 57, 8: 49, 9: 61}
    field = [player(key, DIVISIONS[key % 3], total=total) for key, total in totals.items()]
    draw = draw_by_score_across(field)
    assert keys(draw) == [[8, 2, 5, 3], [7, 6, 1, 9, 4]]
    assert draw.groups[1].reason == "MPO, FPO by total, whatever the division: 5 to 9"


def test_divisions_on_two_layouts_are_drawn_apart_and_that_is_told() -> None:
    field = [player(key, "MPO") for key in range(1, 5)]
    field += [player(key, "MJ12", layout=2) for key in range(5, 9)]
    draw = draw_random_across(field, 1)
    assert [(group.layout, group.divisions) for group in draw.groups] == [(1, ("MPO",)), (2, ("MJ12",))]
    assert draw.notes == ("Divisions that play different layouts are drawn apart.",)


def test_more_players_than_places_are_refused() -> None:
    with pytest.raises(NotEnoughPlaces, match="11 players do not fit: 2 places hold 10"):
        draw_random_across([player(key, "MA1") for key in range(1, 12)], 1, places={1: 2})


@given(fields(), st.integers(0, 99), st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_everybody_once_on_their_layout_in_the_best_sizes_and_whatever_the_order_of_input(
    field: list[Candidate], seed: int, chance
) -> None:
    shuffled = list(field)
    chance.shuffle(shuffled)
    for draw, again in (
        (draw_random_across(field, seed), draw_random_across(shuffled, seed)),
        (draw_by_score_across(field), draw_by_score_across(shuffled)),
    ):
        assert keys(draw) == keys(again)
        assert sorted(chain.from_iterable(keys(draw))) == [each.key for each in field]
        for layout in {each.layout for each in field}:
            own = [group for group in draw.groups if group.layout == layout]
            assert all(each.layout == layout for group in own for each in group.members)
            count = sum(each.layout == layout for each in field)
            assert sorted((len(group.members) for group in own), reverse=True) == sizes(count)


@given(fields(), st.integers(0, 99), st.permutations(DIVISIONS[:4]))
@settings(max_examples=60)
def test_the_divisions_decide_nothing(field: list[Candidate], seed: int, others) -> None:
    """Everybody of a layout in other divisions: the same groups."""
    swap = dict(zip(DIVISIONS[:4], others, strict=True)) | {"MJ12": "MJ12"}
    moved = [
        Candidate(
            each.key,
            swap[each.division],
            swap[each.division][1] == "P",
            each.rating,
            each.member_number,
            each.surname,
            each.given,
            each.totals,
            layout=each.layout,
        )
        for each in field
    ]
    assert keys(draw_random_across(field, seed)) == keys(draw_random_across(moved, seed))
    assert keys(draw_by_score_across(field)) == keys(draw_by_score_across(moved))


@given(fields())
@settings(max_examples=60)
def test_nobody_behind_has_the_lower_total(field: list[Candidate]) -> None:
    for layout in {each.layout for each in field}:
        groups = [group for group in draw_by_score_across(field).groups if group.layout == layout]
        line = [each.total for group in groups for each in group.members]
        known = [total for total in line if total is not None]
        assert line == sorted(known) + [None] * (len(line) - len(known))


def test_every_pair_can_meet_about_equally_often() -> None:
    """8 players in two fours: two of them share a group in 3 of 7 draws."""
    field = [player(key, DIVISIONS[key % 3]) for key in range(1, 9)]
    met = sum(
        any({1, 8} <= set(group) for group in keys(draw_random_across(field, seed))) for seed in range(700)
    )
    assert 240 < met < 360  # 300 expected, standard deviation 13
