"""How scores and places are said."""

import pytest

from scoring.standings import wording


@pytest.mark.parametrize(
    ("to_par", "text", "spoken"),
    [
        (-2, "\u22122", "2 under"),
        (0, "E", "even"),
        (3, "+3", "3 over"),
        (None, "–", "no score"),
    ],
)
def test_against_par(to_par: int | None, text: str, spoken: str) -> None:
    assert (wording.to_par_text(to_par), wording.to_par_spoken(to_par)) == (text, spoken)


def test_a_missing_total_is_a_dash_and_not_zero() -> None:
    assert (wording.total_text(None), wording.total_text(54)) == ("–", "54")


@pytest.mark.parametrize(
    ("place", "repeats", "tied", "text", "marked", "words"),
    [
        (2, False, False, "2", "2", "2"),
        (2, False, True, "2", "T2", "tied 2"),
        (2, True, True, "=", "T2", "tied 2"),
        (None, False, False, "", "–", "no place"),
    ],
)
def test_places(place: int | None, repeats: bool, tied: bool, text: str, marked: str, words: str) -> None:
    assert wording.place_text(place, repeats=repeats) == text
    assert wording.place_marked(place, tied=tied) == marked
    assert wording.place_words(place, tied=tied) == words


@pytest.mark.parametrize(
    ("played", "gaps", "column", "words"),
    [
        (0, 0, "", "not started"),
        (9, 0, "9", "through 9"),
        (9, 1, "9, 1 blank", "through 9"),
        (18, 0, "done", "done"),
    ],
)
def test_progress(played: int, gaps: int, column: str, words: str) -> None:
    assert wording.holes_text(played, 18, gaps) == column
    assert wording.through_text(played, 18) == words


@pytest.mark.parametrize(
    ("blanks", "text"),
    [(18, "round 1: no card"), (1, "round 1: 1 hole missing"), (2, "round 1: 2 holes missing")],
)
def test_what_is_missing(blanks: int, text: str) -> None:
    assert wording.missing_text(1, blanks, 18) == text
