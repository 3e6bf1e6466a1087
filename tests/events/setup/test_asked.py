"""Numbers and keys in addresses and forms."""

from datetime import UTC, datetime
from uuid import UUID, uuid4

import pytest

from events.setup.asked import page_key, phone_moment, whole_number


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


def test_a_page_without_a_readable_key_gets_one_of_its_own() -> None:
    key = uuid4()
    assert page_key(str(key)) == key
    made = [page_key(text) for text in (None, "", "x", "1" * 500)]
    assert [type(each) for each in made] == [UUID] * 4
    assert len(set(made)) == 4


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("2026-05-09T09:30:00.000Z", datetime(2026, 5, 9, 9, 30, tzinfo=UTC)),
        ("2026-05-09T09:30:00", None),
        ("1970-01-01T00:00:00Z", None),
        ("2026-13-09T09:30:00Z", None),
        ("9" * 500, None),
        ("", None),
        (None, None),
        (20260509, None),
    ],
)
def test_a_phones_time_is_a_moment_with_its_zone_or_nothing(said: object, found: datetime | None) -> None:
    assert phone_moment(said) == found
