"""Clock times as the desk types them, also around midnight and on the two days when clocks change."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from events.safety.clock_times import NotATime, moment_typed

OSLO = ZoneInfo("Europe/Oslo")
NOW = datetime(2026, 6, 12, 12, 10, tzinfo=UTC)  # 14:10 at the venue


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", NOW),
        ("14:05", datetime(2026, 6, 12, 12, 5, tzinfo=UTC)),
        ("9.30", datetime(2026, 6, 12, 7, 30, tzinfo=UTC)),
        ("14:10:00", NOW),
        ("2026-06-11 21:00", datetime(2026, 6, 11, 19, 0, tzinfo=UTC)),
        ("2026-06-12T12:00+00:00", datetime(2026, 6, 12, 12, 0, tzinfo=UTC)),
    ],
)
def test_a_time_is_one_of_today_at_the_venue(typed: str, found: datetime) -> None:
    assert moment_typed(typed, OSLO, NOW) == found


def test_just_after_midnight_a_late_time_is_of_the_day_before() -> None:
    now = datetime(2026, 6, 11, 22, 10, tzinfo=UTC)  # 00:10 on the 12th
    assert moment_typed("23:50", OSLO, now) == datetime(2026, 6, 11, 21, 50, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "now", "sentence"),
    [
        ("14:11", NOW, "14:11 is still to come: it is 14:10 at the venue."),
        ("25:00", NOW, "'25:00' is not a time. Write it as 14:05."),
        ("noon", NOW, "'noon' is not a time. Write it as 14:05."),
        (
            "02:30",
            datetime(2026, 3, 29, 6, 0, tzinfo=UTC),
            "2026-03-29 02:30 does not exist in Europe/Oslo: the clocks go forward then.",
        ),
        (
            "02:30",
            datetime(2026, 10, 25, 6, 0, tzinfo=UTC),
            "2026-10-25 02:30 comes twice in Europe/Oslo: the clocks go back then."
            " Write 2026-10-25T02:30+02:00 or 2026-10-25T02:30+01:00.",
        ),
    ],
)
def test_what_is_no_moment_is_asked_in_a_sentence(typed: str, now: datetime, sentence: str) -> None:
    with pytest.raises(NotATime) as asked:
        moment_typed(typed, OSLO, now)
    assert str(asked.value) == sentence


def test_the_two_equal_hours_are_told_apart_by_their_offset() -> None:
    now = datetime(2026, 10, 25, 6, 0, tzinfo=UTC)
    assert moment_typed("2026-10-25T02:30+01:00", OSLO, now) == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
