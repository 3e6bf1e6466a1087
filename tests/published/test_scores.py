"""The published rules that concern cards and totals; the documents' worked examples are in test_scoring_examples.

The penalty figures (par + 4; 2 throws; 30 minutes) are the documents' and are written out here, so that the
tests check the arithmetic against the documents and not against our own rulebook.
"""

from datetime import UTC, datetime, timedelta

import pytest

from scoring.cards.arithmetic import (
    EntryFault,
    WrittenLine,
    absent,
    due_at,
    entry_faults,
    entry_penalty,
    line_total,
)

pytestmark = pytest.mark.published

WRONG_ENTRY = 2  # throws, 808.G.2
PARS = (3, 3, 4, 3, 5, 3, 3, 4, 3)


def test_several_wrong_entries_cost_two_throws_once() -> None:
    """Official Rules 2025, 808.G.2: once, added to the correct total."""
    agreed = (3, 2, 4, 3, 6, 3, 3, 5, 3)
    handed_in = WrittenLine((3, None, 4, 2, 6, 3, 3, 5, 3), written_total=30)

    faults = entry_faults(handed_in, agreed)

    assert faults == (EntryFault.HOLE_BLANK, EntryFault.HOLE_WRONG, EntryFault.TOTAL_WRONG)
    assert line_total(agreed, PARS, entry_penalty(faults, WRONG_ENTRY)).total == 34


def test_absent_at_the_start_scores_par_plus_four_on_each_hole_not_played() -> None:
    """Competition Manual 2025, 1.05.E; there is no limit to the number of holes."""
    throws = [absent(3, 4), absent(3, 4), 4, 3, 5, 3, 3, 4, 3]

    assert line_total(throws, PARS).to_par == 8


def test_additional_penalties_belong_to_the_round_and_not_to_a_hole() -> None:
    """Official Rules 2025, 808.D."""
    assert line_total(PARS, PARS, additional=2).to_par == 2


def test_a_card_is_due_thirty_minutes_after_the_own_group_s_finish() -> None:
    """Official Rules 2025, 808.F: within 30 minutes."""
    finished = datetime(2025, 6, 7, 14, 5, tzinfo=UTC)

    assert due_at(finished, 30) == finished + timedelta(minutes=30)
