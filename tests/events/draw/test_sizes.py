"""Group sizes: 3 to 5, aiming at 4."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.sizes import NotEnoughPlaces, explain_sizes, sizes


@pytest.mark.parametrize(
    ("players", "expected"),
    [
        (0, []),
        (1, [1]),
        (2, [2]),
        (3, [3]),
        (5, [5]),
        (6, [3, 3]),
        (7, [4, 3]),
        (9, [5, 4]),
        (10, [5, 5]),
        (11, [4, 4, 3]),
        (13, [5, 4, 4]),
        (14, [4, 4, 3, 3]),
        (72, [4] * 18),
    ],
)
def test_best_sizes(players: int, expected: list[int]) -> None:
    assert sizes(players) == expected


def test_fewer_places_make_larger_groups() -> None:
    assert sizes(22, limit_groups=5) == [5, 5, 4, 4, 4]


def test_too_few_places_are_refused_with_the_figures() -> None:
    with pytest.raises(NotEnoughPlaces) as refusal:
        sizes(26, limit_groups=5)
    assert str(refusal.value) == "26 players do not fit: 5 places hold 25 in groups of 5."
    assert (refusal.value.players, refusal.value.places) == (26, 5)


@pytest.mark.parametrize(
    ("chosen", "said"),
    [
        ([4, 4], "8 in groups: 2 of 4"),
        ([5, 4], "9 in groups: 1 of 5, 1 of 4; nearest to 4, then most even"),
        ([2], "2 in groups: 1 of 2; too small, needs a recorded reason and an official (1.06.G, H)"),
        ([5, 5, 4], "14 in groups: 2 of 5, 1 of 4; the places there are, or divisions that share, decide"),
    ],
)
def test_the_choice_is_explained(chosen: list[int], said: str) -> None:
    assert explain_sizes(chosen) == said


@settings(deadline=None, max_examples=100)
@given(st.integers(3, 400), st.none() | st.integers(1, 120))
def test_sizes_are_legal_even_and_complete(players: int, limit: int | None) -> None:
    if limit is not None and players > 5 * limit:
        with pytest.raises(NotEnoughPlaces):
            sizes(players, limit_groups=limit)
        return
    chosen = sizes(players, limit_groups=limit)
    assert sum(chosen) == players
    assert min(chosen) >= 3
    assert max(chosen) <= 5
    assert max(chosen) - min(chosen) <= 1
    assert limit is None or len(chosen) <= limit
