"""The converters of an entrant's fields."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.sheets import values
from events.sheets.cells import Uncomputed
from events.sheets.values import BadValue

OFFERED = ("MPO", "FPO", "MA1", "MA2", "MA40", "FA40", "MJ18")


@pytest.mark.parametrize("error", ["#REF!", "#N/A", "#VALUE!", "#NAME?", "#DIV/0!", "#n/a"])
@pytest.mark.parametrize(
    "converter", [values.text, values.year, values.money, values.member_number, values.email]
)
def test_spreadsheet_errors_are_named(error: str, converter: object) -> None:
    with pytest.raises(BadValue) as caught:
        converter(error)
    assert caught.value.mend == "mend the formula"
    assert caught.value.problem.startswith(f"'{error}' is an error: the formula ")


def test_a_formula_without_result_is_named() -> None:
    with pytest.raises(BadValue) as caught:
        values.text(Uncomputed("A2&B2"))
    assert caught.value.problem == "'=A2&B2' is a formula whose result the file does not hold"
    assert caught.value.mend == "open the file in a spreadsheet program, save it there, or paste the values"


@pytest.mark.parametrize(
    ("cell", "text"), [(12, "12"), (" a\u00a0b ", "a b"), (None, None), (Decimal("4.5"), "4.5")]
)
def test_text(cell: object, text: str | None) -> None:
    assert values.text(cell) == text


def test_text_too_long_is_not_cut_silently() -> None:
    with pytest.raises(BadValue) as caught:
        values.text("x" * 201)
    assert caught.value.mend == "shorten it to at most 200"


@pytest.mark.parametrize("cell", [93, "93", "--", "J\ufffdrn", True])
def test_what_is_no_name(cell: object) -> None:
    with pytest.raises(BadValue, match=r"is not a name|was lost earlier"):
        values.name(cell)


@pytest.mark.parametrize(
    ("written", "given", "family"),
    [
        ("Quillon, Tamsel", "Tamsel", "Quillon"),
        ("Tamsel Quillon", "Tamsel", "Quillon"),
        ("Tamsel Orri Quillon", "Tamsel Orri", "Quillon"),
        ("Tamsel van der Quillon", "Tamsel", "van der Quillon"),
        ("QUILLON Tamsel", "Tamsel", "QUILLON"),
        ("VAN QUILLON Tamsel", "Tamsel", "VAN QUILLON"),
        ("TAMSEL QUILLON", "TAMSEL", "QUILLON"),
        ("Tamsel Quillon Jr.", "Tamsel", "Quillon Jr."),
        ("Tamsel Quillon, Jr.", "Tamsel", "Quillon Jr."),
        ("Quillon", "", "Quillon"),
        ("Quillon,", "", "Quillon"),
        ("Вельмор Тарин", "Вельмор", "Тарин"),
        ("瀬野原", "", "瀬野原"),
    ],
)
def test_full_name_is_split(written: str, given: str, family: str) -> None:
    assert values.full_name(written) == (given, family)


@given(
    st.lists(st.text(st.characters(categories=["Lu", "Ll"]), min_size=1, max_size=8), min_size=1, max_size=5)
)
def test_splitting_a_name_loses_no_word(words: list[str]) -> None:
    written = " ".join(words)
    split = values.full_name(written)
    assert split is not None
    assert sorted(" ".join(split).split()) == sorted(values.text(written).split())


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        (70012, 70012),
        ("70012", 70012),
        ("'70012", 70012),
        ("#70012", 70012),
        ("No. 70012", 70012),
        ("№70012", 70012),
        ("70,012", 70012),
        (Decimal("70012.0"), 70012),
        ("0070012", 70012),
        (0, None),
        ("0", None),
        ("none", None),
        ("N/A", None),
        ("-", None),
        ("", None),
        (None, None),
    ],
)
def test_member_number(cell: object, number: int | None) -> None:
    assert values.member_number(cell) == number


@pytest.mark.parametrize("cell", ["7001x", -5, "12345678", True, Decimal("1.5"), "7 0012"])
def test_what_is_no_member_number(cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        values.member_number(cell)
    assert caught.value.mend == "write digits only; clear the cell if there is none"


def test_a_number_that_became_a_power_of_ten() -> None:
    for converter in (values.member_number, values.phone):
        with pytest.raises(BadValue) as caught:
            converter("4.92E+11")
        assert caught.value.mend == "format the column as text and write all digits"


@pytest.mark.parametrize(
    ("cell", "rating"), [(925, 925), (" 925 ", 925), ("unrated", None), (0, None), ("–", None), (None, None)]
)
def test_rating(cell: object, rating: int | None) -> None:
    assert values.rating(cell) == rating


@pytest.mark.parametrize("cell", ["92S", 1500, "-3", "925.5"])
def test_what_is_no_rating(cell: object) -> None:
    with pytest.raises(BadValue, match="is not a rating"):
        values.rating(cell)


@pytest.mark.parametrize(
    ("cell", "address"),
    [
        (" tamsel@Example.ORG ", "tamsel@example.org"),
        ("Tamsel Q <tamsel@example.org>", "tamsel@example.org"),
        ("mailto:tamsel@example.org", "tamsel@example.org"),
        ("bücher@bücher.example", "bücher@bücher.example"),
        (None, None),
    ],
)
def test_email(cell: object, address: str | None) -> None:
    assert values.email(cell) == address


@pytest.mark.parametrize(
    "cell", ["tamsel", "tamsel@", "@example.org", "a@b", "a b@example.org", "a@ex..org", 5]
)
def test_what_is_no_address(cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        values.email(cell)
    assert caught.value.mend == "write it as name@example.org"


def test_two_addresses_in_a_cell() -> None:
    with pytest.raises(BadValue, match="holds more than one address"):
        values.email("a@example.org; b@example.org")


@pytest.mark.parametrize(
    ("cell", "phone"),
    [
        ("+49 30 123456", "+49 30 123456"),
        ("'+49 30 123456", "+49 30 123456"),
        ("(555) 010-0199", "(555) 010-0199"),
        ("555-0100 ext. 12", "555-0100 ext. 12"),
        (5550100199, "5550100199"),
        (None, None),
    ],
)
def test_phone(cell: object, phone: str | None) -> None:
    assert values.phone(cell) == phone


@pytest.mark.parametrize("cell", ["call home", "1234", "1" * 16, "+", "555-0100 or 555-0101 or 555-0102"])
def test_what_is_no_phone(cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        values.phone(cell)
    assert caught.value.mend == "write 5 to 15 digits, as +49 30 123456"


@pytest.mark.parametrize(
    "cell", ["MA40", "ma40", "MA 40", "Ma-40", " m a40 ", "MA40 – long name", "MA40 (Advanced)"]
)
def test_division_codes_in_all_their_spellings(cell: str) -> None:
    assert values.division(cell, OFFERED) == "MA40"


@pytest.mark.parametrize(
    ("cell", "mend"),
    [
        ("MA4O", "write one of FA40, FPO, MA1, MA2, MA40, MJ18, MPO; the nearest is MA40"),
        ("MA3", "write one of FA40, FPO, MA1, MA2, MA40, MJ18, MPO; the nearest is MA1"),
        ("zzz", "write one of FA40, FPO, MA1, MA2, MA40, MJ18, MPO"),
        ("MA1 or MA2", "write one of FA40, FPO, MA1, MA2, MA40, MJ18, MPO"),
        (1, "write one of FA40, FPO, MA1, MA2, MA40, MJ18, MPO"),
    ],
)
def test_unknown_divisions_and_the_nearest_code(cell: object, mend: str) -> None:
    with pytest.raises(BadValue) as caught:
        values.division(cell, OFFERED)
    assert caught.value.problem == f"'{cell}' is not a division of this event"
    assert caught.value.mend == mend


def test_division_where_none_is_offered() -> None:
    with pytest.raises(BadValue) as caught:
        values.division("MA1", ())
    assert caught.value.mend == "offer divisions first"


@pytest.mark.parametrize(
    ("converter", "cell", "meaning"),
    [
        (values.yes_no, "Yes", True),
        (values.yes_no, "x", True),
        (values.yes_no, "✓", True),
        (values.yes_no, "Sí", True),
        (values.yes_no, 1, True),
        (values.yes_no, "nein", False),
        (values.yes_no, "-", False),
        (values.yes_no, 0, False),
        (values.yes_no, False, False),
        (values.yes_no, None, None),
        (values.gender, "F", "F"),
        (values.gender, "Women's", "F"),
        (values.gender, "WOMAN", "F"),
        (values.gender, "male", "M"),
        (values.gender, "Mixed", "M"),
        (values.gender, "", None),
        (values.class_of_play, "Professional", "pro"),
        (values.class_of_play, "Am", "am"),
        (values.class_of_play, None, None),
        (values.membership_status, "Current", True),
        (values.membership_status, "expired", False),
        (values.membership_status, "not current", False),
        (values.membership_status, True, True),
        (values.membership_status, None, None),
    ],
)
def test_meanings(converter: object, cell: object, meaning: object) -> None:
    assert repr(converter(cell)) == repr(meaning)


@pytest.mark.parametrize(
    ("converter", "mend"),
    [
        (values.yes_no, "write yes or no"),
        (values.gender, "write F or M"),
        (values.class_of_play, "write pro or am"),
        (values.membership_status, "write current or expired"),
    ],
)
@pytest.mark.parametrize("cell", ["perhaps", 7, Decimal("1.5"), "?"])
def test_words_without_a_meaning(converter: object, mend: str, cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        converter(cell)
    assert caught.value.mend == mend
