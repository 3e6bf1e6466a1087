"""The part of a pot that is paid."""

from hypothesis import given
from hypothesis import strategies as st

from scoring.games.shares import paid_part


@given(st.integers(0, 10_000_000), st.integers(0, 100))
def test_the_part_that_is_paid_and_the_rest_are_the_pot(cents, percent):
    paid = paid_part(cents, percent)
    assert 0 <= paid <= cents
    assert paid * 100 <= cents * percent < (paid + 1) * 100
