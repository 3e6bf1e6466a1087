"""The three ways to deal players into groups."""

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.candidates import Candidate
from events.draw.drawn import Draw
from events.draw.grouping import draw_by_rating, draw_by_score, draw_random
from events.draw.sizes import NotEnoughPlaces, sizes

SHORT = {"MJ12": 2, "FJ10": 2, "MA3": 2}  # divisions of these tests that play the second layout


def field_of(**divisions: int) -> list[Candidate]:
    """Players with falling ratings and rising totals within the order of the keyword arguments."""
    found: list[Candidate] = []
    for code, count in divisions.items():
        for _ in range(count):
            key = len(found) + 1
            pro, junior = code[1] == "P", code[1] == "J"
            found.append(
                Candidate(key, code, pro, 1000 - key, key, f"S{key}", "G", (50 + key,), junior, layout=1)
            )
    return found


def keys(draw: Draw) -> list[list[int]]:
    return [[player.key for player in group.members] for group in draw.groups]


def test_random_stays_within_the_division() -> None:
    draw = draw_random(field_of(MPO=8, MA1=9), 5)
    assert [group.divisions for group in draw.groups] == [("MPO",), ("MPO",), ("MA1",), ("MA1",)]
    assert [len(group.members) for group in draw.groups] == [4, 4, 5, 4]
    assert draw.groups[0].reason == "MPO at random"
    assert draw.notes == ("MA1: 9 in groups: 1 of 5, 1 of 4; nearest to 4, then most even.",)


def test_a_recorded_seed_gives_this_draw_for_ever() -> None:
    assert keys(draw_random(field_of(MPO=8), "evening-1")) == [[5, 4, 2, 6], [3, 7, 8, 1]]


def test_another_seed_gives_another_draw() -> None:
    assert keys(draw_random(field_of(MPO=40), 1)) != keys(draw_random(field_of(MPO=40), 2))


def test_a_change_in_one_division_leaves_the_others_as_drawn() -> None:
    whole = draw_random(field_of(MPO=8, MA1=8), 3)
    fewer = draw_random(field_of(MPO=8, MA1=7), 3)
    assert keys(whole)[:2] == keys(fewer)[:2]


def test_by_rating_with_the_number_of_holes_given() -> None:
    assert keys(draw_by_rating(field_of(MPO=12), 4)) == [[1, 5, 9], [2, 6, 10], [3, 7, 11], [4, 8, 12]]


def test_by_rating_uneven_and_unrated_last() -> None:
    players = [*field_of(MPO=10), Candidate(11, "MPO", True, None, 1, layout=1)]
    assert keys(draw_by_rating(players)) == [[1, 4, 7, 10], [2, 5, 8, 11], [3, 6, 9]]


def test_by_rating_deals_each_division_over_its_own_holes() -> None:
    draw = draw_by_rating(field_of(MPO=8, MA1=8))
    assert keys(draw) == [[1, 3, 5, 7], [2, 4, 6, 8], [9, 11, 13, 15], [10, 12, 14, 16]]
    assert draw.groups[1].reason == "MPO by rating: 2-4-6-8"


def test_too_many_groups_asked_for_is_told() -> None:
    draw = draw_by_rating(field_of(MPO=7), 4)
    assert len(draw.groups) == 2
    assert draw.notes[-1] == "4 groups were asked for; 7 players fill 2."


def test_a_fixed_number_of_groups_needs_one_layout() -> None:
    players = [Candidate(1, "MPO", True, layout=1), Candidate(2, "MA1", False, layout=2)]
    with pytest.raises(ValueError, match="one layout"):
        draw_by_rating(players, 1)


def test_by_score_best_group_first_and_leaders_at_the_size_aimed_at() -> None:
    draw = draw_by_score(field_of(MPO=9))
    assert keys(draw) == [[1, 2, 3, 4], [5, 6, 7, 8, 9]]
    assert draw.groups[0].reason == "MPO by total: 1, 2, 3, 4"


def test_by_score_the_last_of_each_division_share() -> None:
    draw = draw_by_score(field_of(MA2=6, MA3=6), places={1: 3})
    assert keys(draw) == [[1, 2, 3, 4], [5, 6, 11, 12], [7, 8, 9, 10]]
    assert draw.groups[1].reason == (
        "MA2 and MA3 share a group: 2 left over in each. MA2 by total: 5, 6. MA3 by total: 5, 6"
    )


def test_a_whole_small_division_is_told_as_such() -> None:
    draw = draw_by_score(field_of(MA2=10, MA3=2))
    assert draw.groups[-1].reason.split(". ")[0] == (
        "MA2 and MA3 share a group: 2 left over in MA2, all 2 of MA3"
    )


def test_players_on_different_layouts_never_meet() -> None:
    players = [*field_of(MA1=2), *(Candidate(10 + n, "MA2", False, layout=2) for n in range(4))]
    draw = draw_random(players, 1)
    assert [(group.layout, len(group.members)) for group in draw.groups] == [(1, 2), (2, 4)]
    assert draw.notes == (
        "MA1: 2 in groups: 1 of 2; too small, needs a recorded reason and an official (1.06.G, H).",
    )


def test_professionals_among_amateurs_are_told() -> None:
    draw = draw_random(field_of(FPO=2, FA1=6), 1)
    assert draw.groups[0].divisions == ("FPO", "FA1")
    assert draw.notes[-1] == "Group 1 has professionals and amateurs (FPO, FA1); 1.06.A keeps them apart."


def test_no_places_on_a_layout_are_refused() -> None:
    with pytest.raises(NotEnoughPlaces, match="8 players do not fit: 1 places hold 5"):
        draw_random(field_of(MPO=8), 1, places={1: 1})


def test_company_of_the_round_before_is_avoided() -> None:
    first = draw_random(field_of(MPO=16, MA1=16), 1)
    met = {frozenset(pair) for group in keys(first) for pair in combinations(group, 2)}
    second = draw_random(field_of(MPO=16, MA1=16), 2, avoid=met)
    again = {frozenset(pair) for group in keys(second) for pair in combinations(group, 2)} & met
    assert again == set()
    assert second.notes == ("Nobody meets anybody they have played with.",)


def test_company_that_cannot_be_avoided_is_told() -> None:
    met = {frozenset(pair) for pair in combinations(range(1, 5), 2)}
    draw = draw_random(field_of(MPO=4), 1, avoid=met)
    assert sorted(keys(draw)[0]) == [1, 2, 3, 4]
    assert draw.notes == ("6 pairs meet again: no exchange was found that parts them.",)


divisions = st.dictionaries(
    st.sampled_from(["MPO", "FPO", "MA1", "MA2", "MA3", "FA1", "MJ12", "FJ10"]),
    st.integers(1, 14),
    min_size=1,
    max_size=8,
)
methods = st.sampled_from(["random", "rating", "score"])


def drawn(method: str, players: list[Candidate]) -> Draw:
    if method == "random":
        return draw_random(players, 11)
    return draw_by_rating(players) if method == "rating" else draw_by_score(players)


def on_two_layouts(counts: dict[str, int]) -> list[Candidate]:
    return [
        Candidate(p.key, p.division, p.professional, p.rating, p.member_number, p.surname, p.given,
                  p.totals, p.junior, layout=SHORT.get(p.division, 1))
        for p in field_of(**counts)
    ]  # fmt: skip


@settings(deadline=None, max_examples=60)
@given(divisions, methods, st.randoms(use_true_random=False))
def test_every_draw_is_whole_legal_and_repeatable(counts: dict[str, int], method: str, chance) -> None:  # type: ignore[no-untyped-def]
    players = on_two_layouts(counts)
    draw = drawn(method, players)
    placed = Counter(key for group in keys(draw) for key in group)
    assert placed == Counter(player.key for player in players)
    on_layout = Counter(player.layout for player in players)
    for group in draw.groups:
        assert {player.layout for player in group.members} == {group.layout}
        assert len(group.members) <= 5
        assert len(group.members) >= 3 or on_layout[group.layout] < 3
    mixed = list(players)
    chance.shuffle(mixed)
    assert drawn(method, mixed) == draw


@settings(deadline=None, max_examples=60)
@given(divisions)
def test_a_division_that_shares_no_group_has_the_best_sizes(counts: dict[str, int]) -> None:
    groups = draw_by_score(field_of(**counts)).groups
    sharing = {code for group in groups if len(group.divisions) > 1 for code in group.divisions}
    for code in counts.keys() - sharing:
        chosen = sorted((len(g.members) for g in groups if g.divisions == (code,)), reverse=True)
        assert chosen == sizes(counts[code])


@settings(deadline=None, max_examples=40)
@given(divisions, methods)
def test_professionals_and_amateurs_are_apart_where_both_can_be(counts: dict[str, int], method: str) -> None:
    players = field_of(**counts)
    classes = Counter(player.professional for player in players)
    if min(classes.values()) < 3:
        return
    for group in drawn(method, players).groups:
        assert len({player.professional for player in group.members}) == 1


@settings(deadline=None, max_examples=20)
@given(st.integers(6, 24), st.integers(0, 999))
def test_avoiding_company_changes_neither_sizes_nor_divisions(count: int, seed: int) -> None:
    players = field_of(MPO=count, FPO=2)
    plain = draw_random(players, seed)
    met = {frozenset(pair) for group in keys(plain) for pair in combinations(group, 2)}
    other = draw_random(players, seed, avoid=met)
    assert [group.divisions for group in other.groups] == [group.divisions for group in plain.groups]
    assert sorted(key for group in keys(other) for key in group) == [player.key for player in players]
    again = {frozenset(pair) for group in keys(other) for pair in combinations(group, 2)} & met
    assert len(again) < len(met)
