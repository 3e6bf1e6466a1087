"""Whole things divided to the last one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.setup.apportioning import apportion

PARTS = st.lists(st.integers(0, 50), min_size=1, max_size=12).filter(any)


@given(st.integers(0, 10_000_000), PARTS)
def test_all_of_it_is_divided_and_no_part_is_one_from_its_quota(total, parts):
    found = apportion(total, parts)
    assert sum(found) == total
    for one, part in zip(found, parts, strict=True):
        assert abs(one * sum(parts) - total * part) < sum(parts)


def test_the_earlier_of_two_equal_fractions_gets_the_last_one():
    assert apportion(10_000, [1, 1, 1]) == (3334, 3333, 3333)


@pytest.mark.parametrize(
    ("total", "parts", "words"),
    [(-1, [1], "not negative"), (5, [0, 0], "nobody to divide"), (5, [2, -1], "not negative")],
)
def test_what_cannot_be_divided_is_refused(total, parts, words):
    with pytest.raises(ValueError, match=words):
        apportion(total, parts)
