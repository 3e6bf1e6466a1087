"""Expected orders by hand from Unicode Standard Annex 9; joined forms from the Unicode chart of Arabic Presentation
Forms-B."""

import pytest

from events.paper.rtl import visual


@pytest.mark.parametrize(
    ("logical", "drawn"),
    [
        ("Ada Kvist", "Ada Kvist"),
        ("שלום", "םולש"),
        ("שלום בן-דוד", "דוד-ןב םולש"),
        ("checked by שלום", "checked by םולש"),
        ("שלום (Ada)", "(Ada) םולש"),
        ("א(ב)", "(ב)א"),
    ],
)
def test_right_to_left_runs_are_turned(logical: str, drawn: str) -> None:
    assert visual(logical) == drawn


def test_points_stay_behind_their_letter() -> None:
    assert visual("שָׁ" + "ל") == "ל" + "שָׁ"


def test_arabic_letters_take_the_form_that_their_neighbours_ask_for() -> None:
    # meem initial, hah medial, meem medial, dal final; drawn from right to left
    assert visual("محمد") == "\ufeaa\ufee4\ufea4\ufee3"


def test_lam_and_alef_are_one_ligature() -> None:
    # seen initial, lam-alef final, meem isolated
    assert visual("سلام") == "\ufee1\ufefc\ufeb3"


def test_a_letter_that_does_not_reach_on_breaks_the_word() -> None:
    # dal isolated, alef isolated, reh isolated
    assert visual("دار") == "\ufead\ufe8d\ufea9"


def test_letters_of_persian_join_too() -> None:
    # peh initial, yeh final (Arabic Presentation Forms-A and -B)
    assert visual("پي") == "\ufef2\ufb58"
