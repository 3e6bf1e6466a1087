"""What a spot check finds; scipy and the published table are held in tests/published."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.bags.detection import chance_over_rounds, chance_to_be_drawn, chance_to_find, sample_for


@pytest.mark.parametrize(
    ("pool", "sample", "offenders", "chance"),
    [
        (4, 2, 1, Fraction(1, 2)),
        (4, 2, 2, Fraction(5, 6)),  # one pair of six holds neither
        (4, 0, 2, Fraction(0)),
        (4, 2, 0, Fraction(0)),
        (4, 4, 1, Fraction(1)),
        (4, 2, 3, Fraction(1)),  # only one is none: two cannot both miss
        (0, 0, 0, Fraction(0)),
    ],
)
def test_counted_by_hand(pool: int, sample: int, offenders: int, chance: Fraction) -> None:
    assert chance_to_find(pool, sample, offenders) == chance


@pytest.mark.parametrize(("pool", "sample", "offenders"), [(4, 5, 1), (4, -1, 1), (4, 1, 5), (4, 1, -1)])
def test_what_no_pool_holds_is_refused(pool: int, sample: int, offenders: int) -> None:
    with pytest.raises(ValueError, match="between 0 and the pool of 4"):
        chance_to_find(pool, sample, offenders)


def test_rounds_are_drawn_apart_from_each_other() -> None:
    """Half each round: missed thrice in 1 of 8."""
    assert chance_over_rounds(4, 2, 1, 3) == Fraction(7, 8)
    assert chance_to_be_drawn(4, 1, 2) == Fraction(7, 16)
    assert chance_over_rounds(4, 2, 1, 0) == 0


@settings(max_examples=50)
@given(
    pool=st.integers(1, 60),
    data=st.data(),
    percent=st.integers(0, 100),
)
def test_the_sample_is_the_smallest_that_does_it(pool: int, data: st.DataObject, percent: int) -> None:
    offenders = data.draw(st.integers(1, pool))
    wanted = Fraction(percent, 100)
    sample = sample_for(pool, offenders, wanted)
    assert sample is not None
    assert chance_to_find(pool, sample, offenders) >= wanted
    assert sample == 0 or chance_to_find(pool, sample - 1, offenders) < wanted


def test_nobody_can_be_found_where_nobody_offends() -> None:
    assert sample_for(72, 0, Fraction(1, 2)) is None
