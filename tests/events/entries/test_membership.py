"""What membership an event asks, and what the desk is told."""

from datetime import date

import pytest

from events.entries.membership import MemberFacts, Membership, current_on, membership
from events.rulebook.loader import in_force
from events.rulebook.values import Override

DAY = date(2025, 5, 3)
HERE, THERE = in_force(DAY, "north_america"), in_force(DAY, "elsewhere")
CURRENT = MemberFacts("current")
EXPIRED = MemberFacts("current", expires=date(2025, 5, 2))
NONE, UNKNOWN = MemberFacts("none"), MemberFacts()


@pytest.mark.parametrize(
    ("tier", "code", "facts", "state"),
    [
        ("A", "MPO", CURRENT, "ok"),
        ("A", "MPO", EXPIRED, "missing"),
        ("B", "MA1", NONE, "missing"),
        ("B", "MJ12", NONE, "missing"),
        ("B", "MA1", UNKNOWN, "unknown"),
        ("C", "MA1", NONE, "temporary_fee"),
        ("C", "MA1", EXPIRED, "temporary_fee"),
        ("C", "MA1", UNKNOWN, "unknown"),
        ("C", "MJ12", NONE, "not_needed"),
        ("league", "MA1", NONE, "not_needed"),
        ("major", "MPO", CURRENT, "unknown"),
        ("major", "MPO", MemberFacts("current", official=True), "ok"),
        ("major", "MPO", MemberFacts("current", official=False), "missing"),
        ("major", "MPO", MemberFacts("none", official=True), "missing"),
    ],
)
def test_north_america(tier: str, code: str, facts: MemberFacts, state: str) -> None:
    assert membership(facts, tier=tier, code=code, on=DAY, rulebook=HERE).state == state


@pytest.mark.parametrize(
    ("tier", "facts", "state"),
    [
        ("A", NONE, "missing"),
        ("B", NONE, "not_needed"),
        ("C", NONE, "not_needed"),
        ("C", UNKNOWN, "not_needed"),
    ],
)
def test_elsewhere(tier: str, facts: MemberFacts, state: str) -> None:
    assert membership(facts, tier=tier, code="MA1", on=DAY, rulebook=THERE).state == state


def test_the_temporary_fee_comes_with_amount_and_source() -> None:
    assert membership(EXPIRED, tier="C", code="MA1", on=DAY, rulebook=HERE) == Membership(
        "temporary_fee",
        "Membership ended on 2025-05-02: pays the temporary fee.",
        "Competition Manual 2025, 5.05",
        1500,
    )


def test_the_fee_is_the_rulebooks() -> None:
    rules = in_force(DAY, "north_america", {"membership.temporary_fee_cents": Override(1000, "Old price")})

    assert membership(NONE, tier="C", code="MA1", on=DAY, rulebook=rules).fee_cents == 1000


def test_a_waiver_asks_nobody() -> None:
    found = membership(NONE, tier="A", code="FPO", on=DAY, rulebook=HERE, waived=True)

    assert (found.state, found.text) == ("not_needed", "Membership is waived for this event.")


def test_what_is_missing_is_said_in_words() -> None:
    answers = {
        facts: membership(facts, tier="B", code="MA1", on=DAY, rulebook=HERE).text
        for facts in (NONE, MemberFacts("expired"), UNKNOWN)
    }

    assert list(answers.values()) == [
        "No membership: this tier asks for a current one (B-tier).",
        "Membership has expired: this tier asks for a current one (B-tier).",
        "It is not known whether the membership is current.",
    ]


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (MemberFacts("expired", expires=DAY), True),  # the date speaks louder, and counts to its end
        (MemberFacts("current", expires=date(2025, 5, 2)), False),
        (CURRENT, True),
        (NONE, False),
        (UNKNOWN, None),
    ],
)
def test_current_on_a_day(facts: MemberFacts, expected: bool | None) -> None:
    assert current_on(facts, DAY) is expected
