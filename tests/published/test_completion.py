"""What counts after a stop, against the published texts.

Mid-Event Suspension Policy, update notice of 8 June 2023: common holes. Competition Manual 2025, 1.07.I and K.
"""

from datetime import date

import pytest

from events.rulebook.loader import in_force
from events.safety.completion import completion_rule, event_official, options, partial_round

pytestmark = pytest.mark.published

RULE = completion_rule(in_force(date(2025, 6, 14), "north_america"))
LAYOUT = tuple(str(hole) for hole in range(1, 19))


@pytest.mark.parametrize(
    ("holes", "counts", "rated"),
    [
        (0, False, False),
        (8, False, False),
        (9, True, False),
        (12, True, False),
        (13, True, True),
        (18, True, True),
    ],
)
def test_common_holes(holes, counts, rated):
    """Update notice of 2023: at least 9 common holes count, ratings need 13 or more."""
    found = partial_round(LAYOUT, {"a": LAYOUT, "b": LAYOUT[:holes]}, RULE)

    assert (len(found.common), found.counts, found.rated) == (holes, counts, rated)


def test_only_holes_that_everybody_of_the_division_has_finished_are_common():
    """Update notice of 2023; a shotgun: two groups of ten holes each that overlap on two are no round."""
    found = partial_round(LAYOUT, {"a": LAYOUT[:10], "b": LAYOUT[8:]}, RULE)

    assert (found.common, found.counts) == (("9", "10"), False)


@pytest.mark.parametrize(
    ("scheduled", "finished", "official"),
    [
        (1, 0, False),
        (1, 1, True),
        (2, 1, True),
        (3, 0, False),
        (3, 1, True),
        (4, 1, False),
        (4, 2, True),
        (5, 1, False),
        (5, 2, True),
    ],
)
def test_the_event_is_official(scheduled, finished, official):
    """Competition Manual 2025, 1.07.I: up to three scheduled rounds one finished by all, four or more two."""
    assert event_official(scheduled, finished, RULE).official == official


def keys(holes: int, scheduled: int, finished: int, *, days_left: bool = False) -> list[str]:
    part = partial_round(LAYOUT, {"a": LAYOUT[:holes]}, RULE)
    return [each.key for each in options(part, scheduled, finished, RULE, days_left=days_left)]


def test_what_can_be_chosen():
    """Competition Manual 2025, 1.07.F, G, I, J, K: finish it; count common holes; the last finished round; refunds."""
    assert keys(12, 3, 1, days_left=True) == ["finish_later", "common_holes", "last_round"]
    assert keys(8, 3, 1) == ["last_round"]
    assert keys(8, 4, 1) == ["last_round", "not_official"]
    assert keys(8, 1, 0) == ["not_official"]
    assert keys(9, 1, 0) == ["common_holes", "not_official"]
