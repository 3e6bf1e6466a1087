"""Names made comparable."""

import pytest

from players.names import fold, sort_key


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ærø", "aero"),
        ("Ångström", "angstrom"),
        ("\uff34\uff41\uff4e", "tan"),
        ("O'  Neil", "o neil"),
        ("Straße", "STRASSE"),
    ],
)
def test_names_fold_without_a_locale(one: str, other: str) -> None:
    assert fold(one) == fold(other)


def test_names_sort_by_surname_and_of_one_name_by_that() -> None:
    assert [sort_key("Łoś", "Ørjan"), sort_key("", "Ezra"), sort_key("?", "!")] == ["los orjan", "ezra", "?!"]
