"""Typed times, and who is shown to have a card open."""

from datetime import UTC, date, datetime, timedelta

import pytest

import build
from events.setup.models import Event
from scoring.cards.forms import BadClock, read_clock
from scoring.cards.presence import Presence, presence_of

DAY = date(2026, 6, 12)


@pytest.mark.parametrize("text", ["12:24", "1224", "12.24", "12h24", " 12:24:59 "])
def test_a_time_is_read_however_it_is_written(text: str) -> None:
    event = Event(time_zone="Europe/Oslo")  # two hours ahead in June
    start = datetime(2026, 6, 12, 7, 0, tzinfo=UTC)

    assert read_clock(text, event, DAY, start) == datetime(2026, 6, 12, 10, 24, tzinfo=UTC)


def test_a_time_before_the_start_is_of_the_next_day() -> None:
    event = Event(time_zone="UTC")
    start = datetime(2026, 6, 12, 21, 0, tzinfo=UTC)

    assert read_clock("0:30", event, DAY, start) == datetime(2026, 6, 13, 0, 30, tzinfo=UTC)
    assert read_clock("21:00", event, DAY, start) == start


def test_a_clock_change_in_the_night_of_the_round() -> None:
    """On 25 October 2026 clocks in Oslo go back from 3 to 2: 04:00 is an hour later than the clock face says."""
    event = Event(time_zone="Europe/Oslo")
    start = datetime(2026, 10, 24, 19, 0, tzinfo=UTC)

    assert read_clock("04:00", event, date(2026, 10, 24), start) == datetime(2026, 10, 25, 3, 0, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "noon", "25:00", "12:60", "1", "12:2"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(BadClock, match=r"^Write the time as 12:24\.$"):
        read_clock(text, Event(time_zone="UTC"), DAY, build.NOW)


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [(0, "open"), (60, "open"), (61, "idle"), (300, "idle"), (301, None)],
)
def test_presence_fades(seconds: int, expected: str | None) -> None:
    found = presence_of("Ada", build.NOW, build.NOW + timedelta(seconds=seconds))

    assert found == (Presence("Ada", build.NOW, idle=expected == "idle") if expected else None)
    assert presence_of("", None, build.NOW) is None
