import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.paper.fonts import Style, clean, width
from events.paper.text import (
    collation,
    fitting_size,
    initial,
    money,
    number,
    wrap,
)


def test_wrapping_breaks_after_spaces_and_hyphens() -> None:
    assert wrap("Niko Eskola-Vanderwaterbeemd", Style.BOLD, 10, 105) == ["Niko Eskola-", "Vanderwaterbeemd"]


def test_a_word_wider_than_the_room_is_cut_not_lost() -> None:
    lines = wrap("W" * 40, Style.BOLD, 9, 60)
    assert "".join(lines) == "W" * 40
    assert max(width(line, Style.BOLD, 9) for line in lines) <= 60


def test_chinese_and_japanese_break_anywhere() -> None:
    assert wrap("名前太郎", Style.BODY, 10, 25) == ["名前", "太郎"]


@settings(max_examples=80, deadline=None)
@given(st.text(st.characters(codec="utf-8", max_codepoint=0x2FFF), max_size=40))
def test_wrapping_keeps_every_character_and_the_width(text: str) -> None:
    lines = wrap(text, Style.BODY, 10, 50)
    assert "".join("".join(lines).split()) == "".join(clean(text).split())
    assert [line for line in lines if width(line, Style.BODY, 10) > 50 and _letters(line) > 1] == []


def _letters(line: str) -> int:
    return sum(not unicodedata.combining(char) for char in line)


def test_the_largest_size_that_fits_is_taken() -> None:
    room = width("Group 7", Style.HEAD, 24)
    assert fitting_size("Group 7", Style.HEAD, (32, 28, 24, 20), room) == 24
    assert fitting_size("Group 7", Style.HEAD, (32, 28), room) is None


@pytest.mark.parametrize(
    ("cents", "shown"), [(None, "–"), (0, "0.00"), (5, "0.05"), (123456, "1,234.56"), (-250, "−2.50")]
)
def test_money(cents: int | None, shown: str) -> None:
    assert money(cents) == shown


def test_a_missing_number_is_not_zero() -> None:
    assert (number(None), number(0)) == ("–", "0")


def test_names_are_filed_without_accents_and_case() -> None:
    names = ["Zander", "Öberg", "łukas", "Lund", "oberg", "Ångström", "Đurić", "Dov"]
    assert sorted(names, key=collation) == [
        "Ångström",
        "Dov",
        "Đurić",
        "łukas",
        "Lund",
        "oberg",
        "Öberg",
        "Zander",
    ]
    assert [initial(name) for name in ("Ångström", "łukas", "Дмитро", "")] == ["A", "L", "Д", "–"]
