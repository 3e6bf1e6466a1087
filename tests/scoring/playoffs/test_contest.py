"""A playoff hole by hole. Who throws first and who is out: Competition Manual 2025, 1.09.B."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.playoffs.contest import Contest, ContestWrong, Outcome, play, tee_order

A, B, C, D = 1, 2, 3, 4


def sudden(
    *holes: dict[int, int], players: tuple[int, ...] = (A, B, C), places: int = 1, **more: object
) -> Outcome:
    return play(Contest(players, places, holes=holes, **more))  # type: ignore[arg-type]


def test_before_a_hole_everybody_is_in_it_in_the_drawn_order() -> None:
    outcome = sudden()
    assert (outcome.playing, outcome.decided) == ((A, B, C), False)


def test_the_lowest_stays_and_the_others_are_out() -> None:
    outcome = sudden({A: 3, B: 2, C: 3})
    assert (outcome.through, outcome.out, outcome.decided) == ((B,), (A, C), True)


def test_who_is_level_at_the_lowest_plays_on_in_the_rotated_order() -> None:
    outcome = sudden({A: 3, B: 4, C: 3})
    assert (outcome.playing, outcome.out) == ((C, A), (B,))


def test_the_order_rotates_hole_after_hole() -> None:
    level = {A: 3, B: 3, C: 3}
    assert [sudden(*[level] * count).playing for count in range(4)] == [
        (A, B, C),
        (B, C, A),
        (C, A, B),
        (A, B, C),
    ]


def test_an_aggregate_adds_up_and_orders_by_the_hole_before() -> None:
    first = sudden({A: 4, B: 3, C: 3}, aggregate=2)
    assert (first.playing, first.out, first.sums) == ((B, C, A), (), {A: 4, B: 3, C: 3})
    whole = sudden({A: 4, B: 3, C: 3}, {A: 2, B: 4, C: 4}, aggregate=2)
    assert (whole.through, whole.out, whole.sums) == ((A,), (B, C), {A: 6, B: 7, C: 7})


def test_a_tied_aggregate_goes_on_as_sudden_death_by_the_hole_before_and_then_rotates() -> None:
    holes = ({A: 3, B: 4, C: 5}, {A: 4, B: 3, C: 4})
    tied = sudden(*holes, aggregate=2)
    assert (tied.playing, tied.out) == ((B, A), (C,))  # B threw better on the last hole
    again = sudden(*holes, {A: 3, B: 3}, aggregate=2)
    assert again.playing == (A, B)
    assert again.sums == {A: 7, B: 7, C: 9}  # sudden death adds nothing
    assert sudden(*holes, {A: 3, B: 3}, {A: 4, B: 3}, aggregate=2).through == (B,)


def test_who_declines_is_out_and_one_who_is_left_wins_without_a_throw() -> None:
    assert sudden(declined={A: 0, C: 0}).through == (B,)
    later = sudden({A: 3, B: 3, C: 3}, declined={B: 1})
    assert (later.playing, later.out) == ((C, A), (B,))


def test_places_at_a_cut_are_filled_from_the_lowest_and_the_line_plays_on() -> None:
    players = (A, B, C, D)
    clear = sudden({A: 3, B: 4, C: 4, D: 3}, players=players, places=2)
    assert (clear.through, clear.out) == ((A, D), (B, C))
    one_in = sudden({A: 2, B: 3, C: 3, D: 3}, players=players, places=2)
    assert (one_in.through, one_in.playing) == ((A,), (B, C, D))
    one_out = sudden({A: 3, B: 3, C: 3, D: 4}, players=players, places=2)
    assert (one_out.through, one_out.playing, one_out.out) == ((), (B, C, A), (D,))


@pytest.mark.parametrize(
    ("contest", "sentence"),
    [
        (Contest((A, A)), "Each player stands in a playoff once."),
        (Contest((A, B), places=2), "There must be fewer places at stake than players."),
        (Contest((A, B), aggregate=7), "An aggregate playoff has at most 6 holes."),
        (Contest((A, B), declined={C: 0}), "Only a player of the playoff can decline it."),
        (
            Contest((A, B), holes=({A: 3},)),
            "Playoff hole 1: a figure for each player who is still in it, and no other.",
        ),
        (Contest((A, B), holes=({A: 0, B: 3},)), "Playoff hole 1: nobody holes out in fewer than 1 throw."),
        (
            Contest((A, B), holes=({A: 2, B: 3}, {A: 2, B: 3})),
            "Playoff hole 2: it was decided before this hole.",
        ),
    ],
)
def test_what_cannot_be_is_said(contest: Contest, sentence: str) -> None:
    with pytest.raises(ContestWrong) as wrong:
        play(contest)
    assert str(wrong.value) == sentence


def test_the_same_seed_draws_the_same_order_and_every_order_may_come() -> None:
    assert len({tee_order((A, B, C, D), "20260613") for _ in range(5)}) == 1
    assert {tee_order((A, B, C), str(seed)) for seed in range(200)} == set(itertools.permutations((A, B, C)))


@given(st.data())
def test_nobody_is_lost_and_never_more_are_through_than_places(data: st.DataObject) -> None:
    count = data.draw(st.integers(2, 6))
    players = tuple(range(1, count + 1))
    places, aggregate = data.draw(st.integers(1, count - 1)), data.draw(st.integers(0, 6))
    holes: list[dict[int, int]] = []
    for _ in range(12):
        outcome = play(Contest(players, places, aggregate, tuple(holes)))
        parts = (*outcome.through, *outcome.out, *outcome.playing)
        assert sorted(parts) == list(players)
        assert len(outcome.through) <= places
        if outcome.decided:
            assert len(outcome.through) == places
            break
        holes.append({player: data.draw(st.integers(2, 4)) for player in outcome.playing})
