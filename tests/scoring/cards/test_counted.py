"""Rulings laid over a written line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.cards.counted import Counted, OnTop, counted, nothing_left, read_on_top

HOLES = st.lists(st.none() | st.integers(1, 9), min_size=3, max_size=9)


def test_throws_lie_on_their_hole_and_others_on_the_round() -> None:
    on_top = [OnTop(1, 2, "illegal disc thrown"), OnTop(None, 1, "courtesy")]

    assert counted([3, 4, 3], 2, "late", on_top) == Counted((3, 6, 3), 3, "late; courtesy")


def test_a_hole_without_a_score_stays_without() -> None:
    assert counted([3, None], 0, "", [OnTop(1, 2, "illegal disc thrown")]) == Counted((3, None), 0, "")


def test_a_hole_that_the_line_lacks_changes_nothing() -> None:
    assert counted([3], 0, "", [OnTop(4, 2, "x")]) == Counted((3,), 0, "")


@pytest.mark.parametrize(
    ("counts", "impossible"),
    [
        (Counted((3, 1), 0, ""), False),
        (Counted((3, 0), 0, ""), True),
        (Counted((1, 1), -1, ""), True),
        (Counted((2, 1), -1, ""), False),
        (Counted((None, None), -2, ""), False),
    ],
)
def test_no_ruling_leaves_less_than_one_throw_a_hole(counts: Counted, impossible: bool) -> None:
    assert nothing_left(counts) is impossible


@given(HOLES, st.lists(st.tuples(st.none() | st.integers(0, 2), st.integers(1, 3), st.just("x")), max_size=4))
def test_every_throw_lands_once_and_blanks_stay_blank(holes, rulings) -> None:
    counts = counted(holes, 0, "", read_on_top([list(ruling) for ruling in rulings]))

    assert [score is None for score in counts.throws] == [score is None for score in holes]
    landed = sum(throws for at, throws, _ in rulings if at is None or holes[at] is not None)
    added = sum(score or 0 for score in counts.throws) - sum(score or 0 for score in holes)
    assert added + counts.additional == landed
