"""Numbers and keys in addresses and forms."""

from uuid import UUID, uuid4

import pytest

from events.setup.asked import page_key, whole_number


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
