"""Whole numbers and money as countries write them."""

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.sheets.bad import BadValue
from events.sheets.numbers import integer, money


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        (7, 7),
        (Decimal("1234.0"), 1234),
        ("  1 234 ", 1234),
        ("1\u202f234\u00a0567", 1234567),
        ("1,234", 1234),
        ("1.234", 1234),
        ("1'234", 1234),
        ("1’234", 1234),
        ("'70012", 70012),
        ("70012.0", 70012),
        ("70012,00", 70012),
        ("007", 7),
        ("−5", -5),
        ("+5", 5),
        ("１２３", 123),
        ("١٢٣", 123),
        (None, None),
        ("  ", None),
        ("\u200b", None),
    ],
)
def test_integer_reads(cell: object, number: int | None) -> None:
    assert integer(cell) == number


@pytest.mark.parametrize(
    "cell",
    [
        "1.5",
        "12 34",
        "1,23,456",
        "x7",
        "7x",
        "1.234,5",
        True,
        Decimal("7.5"),
        10**18,
        Decimal("1e300"),
        "9" * 19,
        "1,234.567",
        "½",
        "²",
    ],
)
def test_integer_refuses_what_is_none(cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        integer(cell)
    assert caught.value.mend == "write digits only, as 1234"


def test_integer_keeps_to_its_bounds() -> None:
    with pytest.raises(BadValue, match="'31' is outside 0 to 30"):
        integer("31", least=0, most=30)
    assert integer("30", least=0, most=30) == 30


@pytest.mark.parametrize(
    ("cell", "cents"),
    [
        (45, 4500),
        (Decimal("45.5"), 4550),
        ("$45", 4500),
        ("45,00 €", 4500),
        ("€45.-", 4500),
        ("45,--", 4500),
        ("1.045,50", 104550),
        ("1,045.50", 104550),
        ("1 045,5", 104550),
        ("1'045.50", 104550),
        ("1,045", 104500),
        ("CHF 45.00", 4500),
        ("45 kr", 4500),
        ("kr. 45", 4500),
        ("US$45", 4500),
        ("-5", -500),
        ("5-", -500),
        ("(5.00)", -500),
        ("-$5.00", -500),
        ("$-5.00", -500),
        ("0", 0),
        (0, 0),
        (None, None),
        ("", None),
    ],
)
def test_money_reads_cents(cell: object, cents: int | None) -> None:
    assert money(cell) == cents


@pytest.mark.parametrize(
    "cell",
    [
        "45.5,5",
        "cash",
        "free",
        Decimal("45.555"),
        "45.5.5",
        True,
        "12 34",
        "$",
        "1,04,50",
        "45 + 10",
        "5e3",
        "4$5",
    ],
)
def test_money_refuses_what_is_no_amount(cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        money(cell)
    assert caught.value.mend == "write the amount in figures, as 45.00"


@given(st.integers(-(10**15), 10**15))
def test_every_integer_survives_every_grouping(number: int) -> None:
    grouped = f"{number:,}"
    for mark in (",", ".", " ", "'", "\u00a0", "\u202f"):
        assert integer(grouped.replace(",", mark)) == number
    assert integer(number) == number
    assert integer(f" '{number} ".replace("'-", "-")) == number


@given(st.integers(-(10**11), 10**11), st.sampled_from(["{}", "${}", "{} €", "EUR {}", "{} kr"]))
def test_every_amount_survives_every_notation(cents: int, currency: str) -> None:
    units, rest = divmod(abs(cents), 100)
    sign = "-" if cents < 0 else ""
    for group, point in ((",", "."), (".", ","), (" ", ","), ("'", "."), ("", "."), ("", ",")):
        amount = f"{sign}{units:,}".replace(",", group) + f"{point}{rest:02d}"
        assert money(currency.format(amount)) == cents
    assert money(Decimal(cents) / 100) == cents


@given(st.text(max_size=20))
def test_any_text_is_a_value_or_a_bad_value(text: str) -> None:
    for converter in (integer, money):
        with suppress(BadValue):
            assert type(converter(text)) in (int, type(None))
