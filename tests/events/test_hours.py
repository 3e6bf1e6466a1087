"""The line of hours under a drawing: whole hours, no more of them than fit, by the clock of the venue."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from events.hours import hour_line

NINE_TEN = datetime(2026, 5, 9, 9, 10, tzinfo=UTC)


def test_a_line_runs_from_full_hour_to_full_hour() -> None:
    line = hour_line([NINE_TEN, NINE_TEN + timedelta(hours=2)])

    assert (line.start.hour, line.start.minute, line.end.hour, line.end.minute) == (9, 0, 12, 0)
    assert [(hour.x, hour.label) for hour in line.hours()] == [(0.0, "09"), (33.33, "10"), (66.67, "11")]
    assert line.holds(NINE_TEN)
    assert not line.holds(NINE_TEN - timedelta(hours=1))


@pytest.mark.parametrize(("hours", "apart"), [(13, 1), (27, 2), (40, 6)])
def test_a_longer_line_names_fewer_hours(hours: int, apart: int) -> None:
    named = hour_line([NINE_TEN, NINE_TEN + timedelta(hours=hours)]).hours()

    assert [int(hour.label) for hour in named[:3]] == [9, 9 + apart, (9 + 2 * apart) % 24]


def test_full_hours_are_those_of_the_venue() -> None:
    """Kathmandu is 5 h 45 min ahead: 09:10 UTC is 14:55 there."""
    venue = ZoneInfo("Asia/Kathmandu")
    line = hour_line([NINE_TEN], lambda moment: moment.astimezone(venue))

    assert line.start.astimezone(venue).strftime("%H:%M") == "14:00"
    assert line.hours(lambda moment: moment.astimezone(venue))[0].label == "14"


def test_what_lies_outside_stands_at_the_end() -> None:
    line = hour_line([NINE_TEN])

    assert line.x(NINE_TEN - timedelta(days=1)) == 0
    assert line.x(NINE_TEN + timedelta(days=1)) == 100
    assert line.width(NINE_TEN, NINE_TEN) == 0.5
