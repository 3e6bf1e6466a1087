from decimal import Decimal

import pytest

from events.bags.desk_line import CONDITION, BadLine, DeskLine, read_line

FINE = dict.fromkeys(CONDITION, False)


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("175.3", "175.3"),
        ("175,3", "175.3"),
        (" + 175.3 g", "175.3"),
        ("+ 0175.30 G", "175.30"),
        ("176", "176"),
    ],
)
def test_what_is_typed_or_sent_by_a_scale_is_a_reading(typed: str, grams: str) -> None:
    assert read_line(typed) == DeskLine(reading_g=Decimal(grams))


@pytest.mark.parametrize("typed", ["#7", "# 7", "7#", "7.", " 7 ."])
def test_a_number_with_its_sign_goes_to_a_piece(typed: str) -> None:
    assert read_line(typed) == DeskLine(jump=7)


def test_letters_say_what_was_seen_and_the_rest_was_not_looked_at() -> None:
    assert read_line("c") == DeskLine(seen={"cracked": True})
    assert read_line("n h") == DeskLine(seen={"marked": False, "holed": True})
    assert read_line("175.3 fm") == DeskLine(None, Decimal("175.3"), FINE | {"marked": True})
    assert read_line("cf") == DeskLine(seen=FINE | {"cracked": True})


@pytest.mark.parametrize(
    "typed", ["", "  ", "x", "1753", "-175.3 g", "175.3.1", "175.3 kg", "175.3333", "#7 f", "mn"]
)
def test_what_cannot_be_understood_whole_is_refused(typed: str) -> None:
    with pytest.raises(BadLine):
        read_line(typed)
