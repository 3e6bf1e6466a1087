"""Guardians of juniors (Competition Manual 2025, 1.13.B, C)."""

from datetime import date

import pytest

from events.entries.juniors import guardian
from events.rulebook.loader import in_force

RULES = in_force(date(2025, 5, 3), "north_america")


@pytest.mark.parametrize(
    ("birth_year", "code", "need"),
    [
        (2010, "MJ12", "must"),  # whatever the birth year says, the division asks
        (2013, "MPO", "must"),
        (2013, "FJ15", "must"),
        (2012, "MPO", "unknown"),  # turns 13: may be 12 on the day
        (2011, "MPO", "none"),
        (2009, "FJ18", "may"),
        (None, "MJ08", "must"),
        (None, "MJ18", "unknown"),
        (None, "MA1", "none"),
    ],
)
def test_who_needs_a_guardian(birth_year: int | None, code: str, need: str) -> None:
    assert guardian(birth_year=birth_year, event_year=2025, code=code, rulebook=RULES).need == need


def test_the_answer_says_why_and_where_it_stands() -> None:
    found = guardian(birth_year=2014, event_year=2025, code="MA3", rulebook=RULES)

    assert found.text == "Under 13: accompanied by a guardian in any division."
    assert found.source == "Competition Manual 2025, 1.13.B"
