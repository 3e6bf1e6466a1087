"""Lengths as people read and type them."""

import pytest

from events.setup.figures import in_metres, length_number, length_text


@pytest.mark.parametrize(
    ("metres", "units", "number", "text"),
    [
        (138, "m", "138", "138 m"),
        (138, "ft", "453", "453 ft"),
        (2140, "m", "2,140", "2,140 m"),
        (2140, "ft", "7,021", "7,021 ft"),
        (None, "m", "–", "–"),
        (None, "ft", "–", "–"),
    ],
)
def test_lengths_are_whole_numbers_of_the_unit(
    metres: int | None, units: str, number: str, text: str
) -> None:
    assert (length_number(metres, units), length_text(metres, units)) == (number, text)


@pytest.mark.parametrize(
    ("typed", "units", "metres"), [(453, "ft", 138), (138, "m", 138), (None, "ft", None), (None, "m", None)]
)
def test_a_typed_length_is_kept_in_metres(typed: int | None, units: str, metres: int | None) -> None:
    assert in_metres(typed, units) == metres
