"""Zones, edges and probabilities of a reading; the published table is held in tests/published."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.bags.weighing import (
    Decision,
    ErrorRule,
    ScaleFacts,
    Zone,
    decide,
    error_rule,
    max_error,
    probability_within,
    uncertainty,
)

D = Decimal
GUARD = D("1.645")
FINE = ScaleFacts(D("0.1"), D("0.2"))
COARSE = ScaleFacts(D(1), D(1))
RULE = error_rule(
    {"to_2000": D("1.0"), "to_500": D("0.5"), "to_10000": D("1.5")},
    {"to_5000": D("0.5")},
    in_service=D(2),
    household=D(1),
    checked_g=D("0.1"),
)
tenths = st.integers(min_value=1500, max_value=2200).map(lambda n: D(n) / 10)


def test_bands_are_in_the_order_of_their_steps_however_they_are_written() -> None:
    assert (
        ErrorRule(
            ((500, D("0.5")), (2000, D("1.0")), (10000, D("1.5"))), ((5000, D("0.5")),), D(2), D(1), D("0.1")
        )
        == RULE
    )


@pytest.mark.parametrize(
    ("kind", "step", "load", "error"),
    [
        ("class_iii", "0.1", "50", "0.1"),  # 500 steps: the last load of the first band
        ("class_iii", "0.1", "50.1", "0.2"),
        ("class_iii", "0.1", "200", "0.2"),  # 2,000 steps
        ("class_iii", "0.1", "200.1", "0.3"),
        ("class_iii", "0.01", "176", "0.03"),  # 17,600 steps: beyond the table, its last band
        ("class_ii", "0.1", "176", "0.1"),
        ("household", "1", "176", "1"),
        ("household", "2", "176", "2"),
        ("checked", "1", "176", "0.1"),
    ],
)
def test_how_far_a_scale_may_err(kind: str, step: str, load: str, error: str) -> None:
    assert max_error(kind, D(step), D(load), RULE) == D(error)


def test_a_kind_that_no_scale_has_is_refused() -> None:
    with pytest.raises(ValueError, match="'kitchen'"):
        max_error("kitchen", D(1), D(176), RULE)


def test_a_scale_without_error_still_has_its_steps() -> None:
    """u² = 2 d²/12: for 0.6 g steps 0.06, by hand."""
    assert uncertainty(ScaleFacts(D("0.6"), D(0))) ** 2 == pytest.approx(D("0.06"))


@given(reading=tenths, limit=tenths)
def test_zones_meet_without_a_gap_and_a_rejection_is_beyond_the_limit(
    reading: Decimal, limit: Decimal
) -> None:
    decision = decide(reading, limit, FINE, GUARD)
    guard = GUARD * uncertainty(FINE)
    assert (decision.zone is Zone.ACCEPT) == (limit - reading >= guard)
    assert (decision.zone is Zone.REJECT) == (reading - limit >= guard)
    assert (decision.zone is Zone.NOT_PROVEN) == (abs(reading - limit) < guard)


@given(reading=tenths, limit=tenths)
def test_rejection_needs_95_percent_and_so_does_acceptance(reading: Decimal, limit: Decimal) -> None:
    """The guard factor 1.645 is the one-sided 95 % point of the normal distribution."""
    decision = decide(reading, limit, COARSE, GUARD)
    p = decision.probability
    assert p is not None
    assert (decision.zone is Zone.ACCEPT) == (p > 0.95)
    assert (decision.zone is Zone.REJECT) == (p < 0.05)


def test_a_reading_on_an_edge_belongs_to_the_outer_zone() -> None:
    """Without steps the uncertainty is the error / √3 alone, here with a factor of 1."""
    scale = ScaleFacts(D(0), D(3).sqrt())
    exact = uncertainty(scale)
    limit = D(176)
    assert decide(limit - exact, limit, scale, D(1)).zone is Zone.ACCEPT
    assert decide(limit + exact, limit, scale, D(1)).zone is Zone.REJECT


def test_two_stages_one_gram_cannot_decide_what_a_tenth_can() -> None:
    """176 shown on the 1 g scale: weighed again on the 0.1 g scale, either answer is possible."""
    assert decide(D(176), D("176.0"), COARSE, GUARD).zone is Zone.NOT_PROVEN
    assert decide(D("175.7"), D("176.0"), FINE, GUARD).zone is Zone.ACCEPT
    assert decide(D("176.3"), D("176.0"), FINE, GUARD).zone is Zone.REJECT


@pytest.mark.parametrize(
    ("reading", "limit", "told"),
    [
        (D("170"), None, "No limit is known for this model."),
        (None, D("176.0"), "Not weighed yet."),
        (None, None, "No limit is known for this model."),
    ],
)
def test_what_is_missing_is_never_a_pass(reading: Decimal | None, limit: Decimal | None, told: str) -> None:
    assert decide(reading, limit, FINE, GUARD) == Decision(
        Zone.NOT_KNOWN, reading, limit, D("0.1225"), D("0.2015"), None, None, None, told
    )


@pytest.mark.parametrize(
    ("reading", "told"),
    [
        ("170.0", "Nothing to do."),
        (
            "176.0",
            "Weigh it on a finer scale, if there is one; it is not restricted, and the director is told.",
        ),
        ("180.0", "Do not throw it. The director decides if the player disagrees."),
    ],
)
def test_each_zone_says_what_comes_next(reading: str, told: str) -> None:
    assert decide(D(reading), D("176.0"), FINE, GUARD).next_step == told


def test_the_probability_is_even_at_the_limit_and_falls_beyond_it() -> None:
    found = [probability_within(D(reading), D(176), D("0.5")) for reading in ("175", "175.5", "176", "177")]
    assert found[2] == 0.5
    assert found == sorted(found, reverse=True)
    assert found[0] + found[3] == pytest.approx(1)
