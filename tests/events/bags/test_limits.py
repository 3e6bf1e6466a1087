"""The listed limit and the formula's figure beside it."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.bags.limits import Limit, MassRule, formula_limit, limit_of

D = Decimal
RULE = MassRule(D("8.3"), D("200.0"), D("0.1"), D("0.05"))


@given(st.integers(min_value=1, max_value=4000))
def test_the_formula_is_the_nearest_tenth_and_never_over_the_cap(hundredths: int) -> None:
    diameter = D(hundredths) / 100
    product = D("8.3") * diameter
    nearest = product.quantize(D("0.1"), ROUND_HALF_UP)
    assert formula_limit(diameter, RULE) == (nearest if nearest < 200 else D(200))


@pytest.mark.parametrize("diameter", ["0", "-21.2"])
def test_a_diameter_that_is_none_is_refused(diameter: str) -> None:
    with pytest.raises(ValueError, match="above 0"):
        formula_limit(D(diameter), RULE)


@pytest.mark.parametrize(
    ("listed", "differs"),
    [("176.0", False), ("176.05", False), ("176.06", True), ("175.95", False), ("175.94", True)],
)
def test_a_listed_limit_is_pointed_out_only_beyond_the_tolerance(listed: str, differs: bool) -> None:
    assert limit_of(D(listed), D("21.2"), RULE) == Limit(D(listed), D("176.0"), differs)


@pytest.mark.parametrize(
    ("listed", "diameter", "expected"),
    [
        (None, D("21.2"), Limit(None, D("176.0"), False)),
        (D("176.0"), None, Limit(D("176.0"), None, False)),
        (None, None, Limit(None, None, False)),
    ],
)
def test_what_is_not_known_stays_not_known(
    listed: Decimal | None, diameter: Decimal | None, expected: Limit
) -> None:
    assert limit_of(listed, diameter, RULE) == expected
