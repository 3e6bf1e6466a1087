"""Money shared to the last cent."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.games.shares import paid_part, shared

PARTS = st.lists(st.integers(0, 50), min_size=1, max_size=12).filter(any)


@given(st.integers(0, 10_000_000), PARTS)
def test_every_cent_is_shared_and_no_share_is_a_cent_from_its_quota(cents, parts):
    shares = shared(cents, parts)
    assert sum(shares) == cents
    for share, part in zip(shares, parts, strict=True):
        assert abs(share * sum(parts) - cents * part) < sum(parts)


@given(st.integers(0, 10_000_000), st.integers(0, 100))
def test_the_part_that_is_paid_and_the_rest_are_the_pot(cents, percent):
    paid = paid_part(cents, percent)
    assert 0 <= paid <= cents
    assert paid * 100 <= cents * percent < (paid + 1) * 100


def test_the_earlier_of_two_equal_fractions_gets_the_cent():
    assert shared(10_000, [1, 1, 1]) == (3334, 3333, 3333)


def test_parts_follow_the_largest_remainder():
    """A textbook's quotas of 100 seats: 78.26, 17.39 and 4.35 are 78, 18 and 4."""
    assert shared(100, [18, 4, 1]) == (78, 18, 4)


@pytest.mark.parametrize(("cents", "parts"), [(-1, [1]), (5, [0, 0]), (5, [2, -1])])
def test_what_cannot_be_shared_is_refused(cents, parts):
    with pytest.raises(ValueError, match="is shared among parts"):
        shared(cents, parts)
