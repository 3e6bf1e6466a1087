"""The rulebook's figures, against the published texts: each row names what was read."""

from datetime import date
from decimal import Decimal

import pytest

from events.rulebook.divisions import must_run
from events.rulebook.loader import in_force

pytestmark = pytest.mark.published

DAY = date(2025, 6, 7)
HERE, THERE = in_force(DAY, "north_america"), in_force(DAY, "elsewhere")


@pytest.mark.parametrize(
    ("key", "value", "document", "section"),
    [
        ("play.absence_throws_over_par", 4, "Competition Manual 2025", "1.05.E"),
        ("card.return_minutes", 30, "Official Rules 2025", "808.F"),
        ("card.late_throws", 2, "Official Rules 2025", "808.F"),
        ("card.wrong_entry_throws", 2, "Official Rules 2025", "808.G.2"),
        ("group.size_at_least", 3, "Competition Manual 2025", "1.06.G"),
        ("group.size_aim", 4, "Competition Manual 2025", "1.06.G"),
        ("group.size_at_most", 5, "Competition Manual 2025", "1.06.H"),
        ("publish.hours_before_first_tee_time", 12, "Competition Manual 2025", "1.06.K"),
        ("publish.minutes_after_previous_round", 60, "Competition Manual 2025", "1.06.K"),
        ("check_in.notice_hours", 48, "Competition Manual 2025", "1.04.D"),
        ("starter.minutes_before", 5, "Competition Manual 2025", "1.04.E"),
        ("starter.late_throws", 2, "Competition Manual 2025", "1.04.E"),
        ("start.two_minute_blasts", 2, "Competition Manual 2025", "1.05.B.1"),
        ("start.start_blasts", 1, "Competition Manual 2025", "1.05.B.1"),
        ("suspension.blasts", 3, "Competition Manual 2025", "1.07.A"),
        ("suspension.repeat_seconds", 60, "Competition Manual 2025", "1.07.A"),
        ("entries.exception_notice_hours", 48, "Competition Manual 2025", "1.02.C.1.b"),
        ("refund.handling_fee_cents_at_most", 1000, "Competition Manual 2025", "1.03.B to E"),
        ("refund.none_within_hours", 48, "Competition Manual 2025", "1.03.F"),
        ("juniors.guardian_must_below_age", 13, "Competition Manual 2025", "1.13.B"),
        ("division.mirror_days", 7, "Competition Manual 2025", "5.02.C"),
        ("membership.temporary_fee_cents", 1500, "Competition Manual 2025", "5.05"),
    ],
)
def test_single_figures(key: str, value: int, document: str, section: str) -> None:
    rule = HERE.value(key)

    assert (rule.value, rule.document, rule.section) == (value, document, section)


def test_tier_table_of_north_america() -> None:
    """Competition Manual 2025, 5.05."""
    assert HERE.table("tier.per_player_fee_cents") == {
        "worlds": 0, "major": 0, "elite": 500, "A": 500, "B": 400, "C": 300,
    }  # fmt: skip
    assert HERE.int("tier.per_player_round_fee_cents.league") == 50
    assert HERE.table("tier.holes_at_least") == {
        "worlds": 72, "major": 72, "elite": 54, "A": 54, "B": 36, "C": 18, "league": 18,
    }  # fmt: skip
    assert HERE.table("tier.report_due_hours") == {
        "worlds": 24, "major": 24, "elite": 24, "A": 48, "B": 72, "C": 168, "league": 168,
    }  # fmt: skip


def test_tier_table_elsewhere() -> None:
    """Competition Manual 2025, 6.03 (table of 2024); no per-player fee was found for it."""
    holes, report = THERE.table("tier.holes_at_least"), THERE.table("tier.report_due_hours")

    assert [holes[tier] for tier in "ABC"] == [54, 36, 18]
    assert [report[tier] for tier in "ABC"] == [48, 72, 168]
    assert [THERE.get(f"tier.per_player_fee_cents.{tier}") for tier in "ABC"] == [None, None, None]


def test_cards_for_each_player_or_two_for_each_group() -> None:
    """Competition Manual 2025, 1.05.G, H; 6.02.A.2 and 6.03.D outside North America."""
    assert (HERE.int("cards.for_each_player"), HERE.has("cards.for_each_group")) == (1, False)
    assert (THERE.int("cards.for_each_group"), THERE.has("cards.for_each_player")) == (2, False)
    assert [rules.int("cards.paper_for_each_group") for rules in (HERE, THERE)] == [1, 1]


def test_early_phases_have_quotas_by_scope() -> None:
    """Competition Manual 2025, 1.02.C.3."""
    assert HERE.table("entries.early_phase_percent") == {"event": 33, "class": 33, "division": 50}


def test_a_division_runs_from_four_or_from_one() -> None:
    """Competition Manual 2025, 2.02.L: under-served are women's, junior and 50+ divisions."""
    assert [must_run(HERE, "MA2", eligible) for eligible in (3, 4)] == [False, True]
    assert [must_run(HERE, code, 1) for code in ("FA2", "MJ10", "MA50", "MA40")] == [True, True, True, False]


def test_propagators() -> None:
    """Ratings questions and answers, "What is a propagator"; 5 from an older copy as quoted elsewhere."""
    keys = (
        "propagator_above",
        "propagator_rounds",
        "propagator_years",
        "propagators_unofficial",
        "propagators_official",
    )

    assert [HERE.int(f"rating.{key}") for key in keys] == [699, 8, 1, 2, 5]


def test_both_lines_of_the_2013_compression_meet_at_the_break() -> None:
    """Players' analysis of published ratings, March 2013: c = 10.058 where the lines meet (checked there)."""
    at = HERE.decimal
    ssa = at("rating.compression.formula_2013.break_ssa")

    above, below = (
        at(f"rating.compression.formula_2013.{side}_slope") * ssa
        + at(f"rating.compression.formula_2013.{side}_intercept")
        for side in ("above", "below")
    )

    assert (f"{above:.3f}", f"{below:.3f}") == ("10.058", "10.058")


def test_the_refit_of_2025_is_ten_at_50_4() -> None:
    """Own analysis of published results of 2025: 10.0 points a throw at SSA 50.4."""
    slope = HERE.int("rating.compression.refit_2025.above_slope_ninths")
    intercept = HERE.decimal("rating.compression.refit_2025.above_intercept")

    assert intercept + slope * Decimal("50.4") / 9 == 10


def test_lengths_in_print_follow_the_table() -> None:
    """Official Rules 2025, Appendix D."""
    assert [row["words"] for row in HERE.rows("units.print")] == [
        "32 ft 10 in", "9 ft 10 in", "6 ft 6 in", "3 ft 3 in", "1 ft", "8 in", "1/2 in",
    ]  # fmt: skip


def test_the_2026_start_signals_carry_the_2026_document() -> None:
    """Competition Manual 2026, 1.05.B.1 (page of April 2026); the rest of 2026 was not read."""
    rules = in_force(date(2026, 5, 1), "north_america")

    assert rules.value("start.two_minute_blasts").source == "Competition Manual 2026, 1.05.B.1"
    assert rules.value("officials.call_overrides_group").source == "Official Rules 2026, 801.02"
    assert rules.value("card.return_minutes").source == "Official Rules 2025, 808.F"


def test_common_practice_says_that_it_has_no_source() -> None:
    """Common practice, no source: the manual names no tee interval."""
    rule = HERE.value("practice.tee_interval_minutes")

    assert (rule.value, rule.source) == (10, "Common practice, no source")
    assert rule.trust == "memory"
