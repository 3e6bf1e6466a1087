"""Calls about a thrown disc against the published rules; the sentences were read in a translation."""

from datetime import date

import pytest

from events.bags.calls import figures_of
from events.bags.ladder import ILLEGAL, UNMARKED, CalledBefore, Earlier, propose
from events.rulebook.loader import in_force

pytestmark = pytest.mark.published

BOOK = in_force(date(2025, 6, 7), "north_america")
FIGURES = figures_of(BOOK)


def called(*kinds: str, earlier: tuple[Earlier, ...] = (), throw: int = 9) -> tuple[bool, int]:
    """(warning, penalty throws) of a call on hole 9 after those before it in the same round."""
    found = propose(kinds, earlier, FIGURES, hole="9", throw=throw)
    return found.warning, found.throws


def test_throwing_an_illegal_disc_costs_two_throws_each_time() -> None:
    """Official Rules 2025, 813.01.G."""
    first = Earlier(ILLEGAL, False, "1", 1)
    assert (called(ILLEGAL), called(ILLEGAL, earlier=(first,))) == ((False, 2), (False, 2))
    assert BOOK.value("discs.illegal_throws").section == "813.01.G"


def test_an_unmarked_disc_is_warned_of_first_and_costs_one_throw_each_after_it() -> None:
    """Official Rules 2025, 813.01.H."""
    warned = Earlier(UNMARKED, True, "1", 1)
    second = Earlier(UNMARKED, False, "2", 1)
    assert called(UNMARKED) == (True, 0)
    assert called(UNMARKED, earlier=(warned,)) == (False, 1)
    assert called(UNMARKED, earlier=(warned, second)) == (False, 1)
    assert BOOK.value("discs.unmarked_throws").section == "813.01.H"


def test_a_warning_ends_with_the_round_and_does_not_count_in_a_playoff() -> None:
    """Official Rules 2025, 801.02.D: the calls of another round or of the round proper are not among `earlier`."""
    assert BOOK.value("discs.warnings_carry_over").value is False
    assert called(UNMARKED, earlier=()) == (True, 0)


def test_one_throw_that_breaks_two_rules_has_the_dearest_penalty_only() -> None:
    """Official Rules 2025, 801.02.I."""
    assert called(UNMARKED, ILLEGAL) == (False, 2)
    with pytest.raises(CalledBefore):
        called(ILLEGAL, earlier=(Earlier(UNMARKED, True, "9", 1),), throw=1)
