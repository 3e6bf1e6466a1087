"""Numbers in addresses and forms."""

import pytest

from events.setup.asked import whole_number


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("12", 12),
        ("0", 0),
        ("9" * 15, 10**15 - 1),
        ("9" * 16, None),
        ("-1", None),
        ("1.0", None),
        ("²", None),
        ("", None),
        (None, None),
    ],
)
def test_only_digits_and_not_too_many_are_a_number(text: str | None, number: int | None) -> None:
    assert whole_number(text) == number
