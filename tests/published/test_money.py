"""Money: fees of the tiers, and sharing to the last cent.

Fees and their due day: Competition Manual 2025, 5.05 (read; days from a translation). Outside North America the table
of 6.03 names none. Shares by largest remainder: a textbook's apportionment of 100 seats (chapter 14, exercise 5), and
100.00 in three parts, which is common practice and has no source.
"""

from datetime import date

import pytest

from events.rulebook.loader import in_force
from events.setup.apportioning import apportion
from scoring.money.fees import due_on, per_player_fee, sanction_fee

RULES = in_force(date(2026, 6, 12), "north_america")
ELSEWHERE = in_force(date(2026, 6, 12), "elsewhere")


@pytest.mark.parametrize(
    ("tier", "per_player", "sanction"),
    [("A", 36_000, 10_000), ("B", 28_800, 7_500), ("C", 21_600, 5_000), ("league", 10_800, 2_500)],
)
def test_fees_by_tier_for_72_players_and_3_rounds(tier, per_player, sanction):
    assert per_player_fee(RULES, tier, 72, 3).cents == per_player
    assert sanction_fee(RULES, tier).cents == sanction
    assert sanction_fee(RULES, tier).source == "Competition Manual 2025, 5.05"
    assert due_on(RULES, tier, date(2026, 6, 13)) == date(2026, 7, 13)


def test_elite_pays_for_players_and_majors_for_nothing():
    assert (per_player_fee(RULES, "elite", 10, 3).cents, sanction_fee(RULES, "elite").cents) == (5_000, 0)
    assert (per_player_fee(RULES, "major", 10, 4).cents, sanction_fee(RULES, "major").cents) == (0, 0)


@pytest.mark.parametrize("tier", ["A", "B", "C", "league"])
def test_what_is_not_published_is_not_nought(tier):
    assert per_player_fee(ELSEWHERE, tier, 72, 3).cents is None
    assert sanction_fee(ELSEWHERE, tier).cents is None
    assert due_on(ELSEWHERE, tier, date(2026, 6, 13)) is None


def test_largest_remainder_as_the_textbook_has_it():
    """Quotas 78.26, 17.39 and 4.35 of 100 become 78, 18 and 4."""
    assert apportion(100, [7826, 1739, 435]) == (78, 18, 4)


def test_a_hundred_in_three():
    assert apportion(10_000, [1, 1, 1]) == (3334, 3333, 3333)
