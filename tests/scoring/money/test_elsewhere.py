"""Outside of North America no fee of the tiers is published: the statement says so and stays whole."""

import pytest

import build
from scoring.money.queries import statement

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("tier", ["A", "B", "C", "league", "elite"])
def test_unknown_fees_are_asked_for_and_are_not_nought(db, tier):
    event = build.make_event(region="elsewhere", tier=tier, divisions=("MA1",))
    build.make_entry(event)
    found = statement(event)
    assert "No published sanction fee for this tier and region: set it among the rules." in found.open
    assert not any("fee" in line.label for line in found.section("others").lines)
    assert found.held == 4_500
