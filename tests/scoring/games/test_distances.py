"""Distances as they are typed and shown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.games.distances import FARTHEST_CM, BadDistance, cm_from, distance_text


@pytest.mark.parametrize(
    ("text", "units", "cm"),
    [
        ("3.42", "m", 342),
        ("3,4 m", "m", 340),
        ("12", "m", 1200),
        ("0.07", "m", 7),
        ("11 ft 4 in", "ft", 345),
        ("11'4\"", "ft", 345),
        ("11", "ft", 335),
        ("7 in", "ft", 18),
        ("3.42 m", "ft", 342),
        ("11 ft 4 in", "m", 345),
    ],
)
def test_a_distance_is_read(text, units, cm):
    assert cm_from(text, units) == cm


@pytest.mark.parametrize("text", ["", "near", "-3", "3.425", "1e3", "601 m", "11.5 ft"])
def test_what_is_no_distance_is_refused_with_an_example(text):
    with pytest.raises(BadDistance, match=r"Write the distance as 3\.42|longer than 600 m"):
        cm_from(text, "m")


@given(st.integers(0, FARTHEST_CM))
def test_metres_that_are_shown_are_read_back(cm):
    assert cm_from(distance_text(cm, "m"), "m") == cm


@given(st.integers(0, FARTHEST_CM - 2))
def test_feet_that_are_shown_are_read_back_within_half_an_inch(cm):
    assert abs(cm_from(distance_text(cm, "ft"), "ft") - cm) <= 2
