"""Which column holds which field."""

import pytest

from events.sheets.entrant_fields import ENTRANT_FIELDS
from events.sheets.matching import Field, guess, vocabulary

FIELDS = (
    Field("given", "Given name", ("first name", "vorname"), "name"),
    Field("family", "Family name", ("last name", "nachname"), "name"),
    Field("full_name", "Name", ("player",), "full_name"),
    Field("number", "Member number", ("#", "member no"), "member_number"),
    Field("born", "Birth year", ("year of birth",), "year"),
    Field("division", "Division", ("class",), "division"),
    Field("email", "E-mail", (), "email"),
    Field("phone", "Phone", ("mobile",), "phone"),
    Field("emergency_phone", "Emergency phone", ("emergency contact phone",), "phone"),
)


def found(headings: list[str], *samples: tuple[object, ...]) -> dict[str, str]:
    """Field key -> heading, the unfound left out."""
    mapping = guess(headings, samples, FIELDS)
    return {key: headings[index] for key, index in mapping.items() if index is not None}


@pytest.mark.parametrize(
    "heading",
    ["First Name", "FIRST_NAME", "firstName", " first-name: ", "First name *", "Vorname", "Fist name"],
)
def test_a_heading_in_many_spellings(heading: str) -> None:
    assert found([heading]) == {"given": heading}


def test_any_order_and_strangers_between() -> None:
    headings = ["Phone", "Shoe", "Division", "", "Last name", "First name", "#"]
    assert found(headings) == {
        "phone": "Phone", "division": "Division", "family": "Last name", "given": "First name", "number": "#",
    }  # fmt: skip


def test_parentheses_in_a_heading_do_not_matter() -> None:
    assert found(["Division (see list)"]) == {"division": "Division (see list)"}


def test_no_column_is_used_twice_and_the_first_of_equals_wins() -> None:
    mapping = guess(["Name", "Name"], [], FIELDS)
    assert [index for index in mapping.values() if index is not None] == [0]
    assert mapping["full_name"] == 0


def test_every_field_is_in_the_answer() -> None:
    assert guess([], [], FIELDS) == dict.fromkeys(field.key for field in FIELDS)


def test_a_longer_heading_goes_to_the_field_that_knows_more_of_it() -> None:
    headings = ["Emergency contact phone", "Phone"]
    assert found(headings) == {"emergency_phone": "Emergency contact phone", "phone": "Phone"}


def test_content_finds_columns_under_strange_headings() -> None:
    samples = [("MA1", "a@example.org", "+49 30 12345"), ("FPO", "b@example.org", "+49 30 54321")]
    headings = ["Where", "Post", "Ring"]
    assert found(headings, *samples) == {"division": "Where", "email": "Post", "phone": "Ring"}


def test_years_tell_only_where_nothing_is_written_above_them() -> None:
    assert found([""], (1984,), (1999,)) == {"born": ""}
    assert found(["Since"], (1984,), (1999,)) == {}


def test_content_decides_between_two_weak_headings() -> None:
    samples = [("yes", "a@example.org"), ("no", "b@example.org")]
    assert found(["E-mail me", "Mail e"], *samples) == {"email": "Mail e"}


def test_one_general_word_in_a_longer_heading_says_nothing() -> None:
    assert found(["Dog name", "Start number"]) == {}


def test_a_planted_fault_does_not_unmap_a_column() -> None:
    samples = [("MA1",), ("MX9",), ("FPO",), ("nonsense",)]
    assert found(["Division"], *samples) == {"division": "Division"}


def test_running_numbers_are_no_member_numbers() -> None:
    assert found(["#", "Name"], (1, "a"), (2, "b"), ("3", "c")) == {"full_name": "Name"}
    assert found(["#", "Name"], (70012, "a"), (2, "b")) == {"number": "#", "full_name": "Name"}


def test_vocabulary_holds_the_squeezed_headings() -> None:
    assert vocabulary(FIELDS[:1]) == {"givenname", "firstname", "vorname"}


def test_the_entrant_fields_do_not_share_a_heading() -> None:
    words = [word for field in ENTRANT_FIELDS for word in field.words]
    assert sorted(words) == sorted(set(words))


def test_every_heading_of_the_entrant_fields_finds_its_own_field() -> None:
    for field in ENTRANT_FIELDS:
        for word in field.words:
            mapping = guess([word], [], ENTRANT_FIELDS)
            assert [key for key, index in mapping.items() if index == 0] == [field.key], word
