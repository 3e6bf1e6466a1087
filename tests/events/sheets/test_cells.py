"""Text made comparable."""

from datetime import date, datetime
from decimal import Decimal

import pytest

from events.sheets.cells import Uncomputed, clean, is_blank, plain, seen, shown, squeezed


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("  Ana\u00a0 Maria\t", "Ana Maria"),
        ("\ufeffName\u200b", "Name"),
        ("Jose\u0301", "José"),
        ("line one\r\nline two", "line one line two"),
        ("bell\x07ed", "belled"),
        ("\u202egnirts\u202c", "gnirts"),
        ("soft\u00adhyphen", "softhyphen"),
        ("'70012", "70012"),
        ("'=1+1", "=1+1"),
        ("'='1", "='1"),
        ("'s-Dorp", "'s-Dorp"),
        ("'70s Club", "'70s Club"),
        ("latin\u200djoiner", "latinjoiner"),
        ("می\u200cخواهم", "می\u200cخواهم"),
    ],
)
def test_clean_leaves_what_a_reader_sees(written: str, read: str) -> None:
    assert clean(written) == read


def test_what_nobody_sees_goes_and_lines_stay() -> None:
    """U+202E turns round what follows it; U+061C and U+2067 order letters; a bell is no text."""
    assert seen("Jose\u0301 \u202egnir\u061cts\u2067\x07\r\n\tnext line ") == "José gnirts\r\n\tnext line "


@pytest.mark.parametrize("cell", [None, "", "  ", "\u200b", "\u00a0\ufeff"])
def test_blank_is_what_nobody_sees(cell: str | None) -> None:
    assert is_blank(cell)


@pytest.mark.parametrize("cell", [0, False, "0", Uncomputed("A1")])
def test_zero_and_a_formula_are_not_blank(cell: object) -> None:
    assert not is_blank(cell)


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("Prénom_du joueur:", "prenom du joueur"),
        ("Member #", "member number"),
        ("№", "number"),
        ("E-Mail*", "e mail"),
        ("STRAẞE", "strasse"),
        ("Łódź Ørsted", "lodz orsted"),
        ("Имя", "имя"),
        ("名前", "名前"),
    ],
)
def test_plain_compares_words_only(written: str, words: str) -> None:
    assert plain(written) == words
    assert squeezed(written) == words.replace(" ", "")


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (None, ""),
        (Uncomputed("A1&B1"), "=A1&B1"),
        (True, "yes"),
        (False, "no"),
        (datetime.fromisoformat("2025-03-14T09:30:12"), "2025-03-14 09:30"),
        (date(2025, 3, 14), "2025-03-14"),
        (Decimal("45.6"), "45.6"),
        (12, "12"),
        ("x" * 70, "x" * 59 + "…"),
    ],
)
def test_shown_is_what_a_preview_says(cell: object, text: str) -> None:
    assert shown(cell) == text
