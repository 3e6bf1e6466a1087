"""How long a day of tee times takes: so many groups with so many minutes between them, and the round of the last one.

Derived, no published source: (groups - 1) times the interval, and the length of a round. The length itself is common
practice: 240 minutes for 18 holes.
"""

from datetime import UTC, datetime, timedelta

import pytest

from events.course.round_length import round_length
from events.draw.sizes import sizes
from events.draw.starts import TeePosition, place_tee_times
from events.logistics.play import RoundTimes, Start

pytestmark = pytest.mark.published

HOLES = [TeePosition(1, number, str(number), number, 3, 100) for number in range(1, 19)]
NINE = datetime(2026, 6, 12, 9, tzinfo=UTC)


@pytest.mark.parametrize(("interval", "minutes"), [(8, 520), (10, 590), (12, 660)])
def test_144_players_in_36_groups(interval: int, minutes: int) -> None:
    """8 h 40, 9 h 50 and 11 h from the first start until the last group is in."""
    groups = sizes(144)
    assert len(groups) == 36
    starts = place_tee_times([1] * len(groups), HOLES, interval=interval)
    length = round_length(18, 240)
    clock = RoundTimes(
        1, tuple(Start(NINE + timedelta(minutes=each.minute_offset), length) for each in starts)
    )
    assert clock.moments[0] == NINE
    assert clock.ends == NINE + timedelta(minutes=minutes)


@pytest.mark.parametrize(("holes", "minutes"), [(9, 120), (18, 240), (27, 360), (20, 267), (None, 240)])
def test_a_round_lasts_by_its_holes(holes: int | None, minutes: int) -> None:
    """Common practice, no source: minutes for 18 holes, in proportion, the last one begun."""
    assert round_length(holes, 240) == timedelta(minutes=minutes)
