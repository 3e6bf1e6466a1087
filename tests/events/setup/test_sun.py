"""The sun of a place: local dates, clock changes, polar seasons, and what is refused."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.setup.sun import NotAPlace, sun_on
from events.setup.zones import NoSuchMoment, one_moment, zone_named

HELSINKI = ZoneInfo("Europe/Helsinki")


def test_a_sentence_to_the_minute():
    day = sun_on(date(2026, 6, 12), 39.74, -104.99, ZoneInfo("America/Denver"))

    assert day.sentence == "Sunrise 05:31, sunset 20:29. Civil twilight from 04:59 to 21:01."
    assert day.light.start.utcoffset().total_seconds() == -6 * 3600


def test_both_sides_of_a_clock_change_keep_the_sun_s_time():
    before = sun_on(date(2026, 3, 28), 60.17, 24.94, HELSINKI)
    after = sun_on(date(2026, 3, 29), 60.17, 24.94, HELSINKI)

    assert (f"{before.light.start:%H:%M}", f"{after.light.start:%H:%M}") == ("05:57", "06:54")
    passed = after.light.start.astimezone(UTC) - before.light.start.astimezone(UTC)
    assert 86_200 < passed.total_seconds() < 86_300


def test_dusk_after_midnight_belongs_to_the_day_before():
    day = sun_on(date(2026, 6, 21), 60.17, 24.94, HELSINKI)

    assert day.civil.end.date() == date(2026, 6, 22)


def test_a_day_with_a_rise_but_no_set_keeps_what_there_is():
    """Somewhere in spring above the polar circle the sun rises once more and does not set again."""
    zone = ZoneInfo("Europe/Oslo")
    days = [sun_on(date(2026, 5, day), 69.65, 18.96, zone) for day in range(10, 25)]

    states = [(day.light.state, day.light.start is None, day.light.end is None) for day in days]
    assert states[0] == ("ordinary", False, False)
    assert states[-1] == ("always above", True, True)
    assert sorted(states, key=lambda s: s[1] + s[2]) == states
    assert days[-1].sentence == "The sun does not set."


@pytest.mark.parametrize("on", [date(2026, 6, 21), date(2026, 12, 21), date(2026, 3, 20)])
@pytest.mark.parametrize("latitude", [90.0, -90.0])
def test_the_poles_have_values_too(latitude, on):
    assert sun_on(on, latitude, 0.0, UTC).light.state in ("always above", "always below")


@pytest.mark.parametrize(
    ("latitude", "longitude", "words"),
    [
        (91, 0, "latitude lies between"),
        (float("nan"), 0, "latitude lies"),
        (0, 181, "longitude lies between"),
    ],
)
def test_no_such_place(latitude, longitude, words):
    with pytest.raises(NotAPlace, match=words):
        sun_on(date(2026, 6, 21), latitude, longitude, UTC)


@settings(max_examples=60, deadline=None)
@given(
    on=st.dates(date(2000, 1, 1), date(2099, 12, 31)),
    latitude=st.floats(-90, 90),
    longitude=st.floats(-180, 180),
)
def test_anywhere_at_any_time_the_day_is_in_order(on, latitude, longitude):
    day = sun_on(on, latitude, longitude, UTC)

    known = (day.civil.start, day.light.start, day.noon, day.light.end, day.civil.end)
    times = [each for each in known if each is not None]
    assert times == sorted(times)
    # Half a solar day: from noon to noon it is up to 30 seconds longer than 24 hours (late December).
    assert abs((day.noon - datetime(on.year, on.month, on.day, 12, tzinfo=UTC)).total_seconds()) <= 43_215


def test_a_wall_clock_time_names_one_moment():
    assert one_moment(datetime.fromisoformat("2026-06-01 14:07"), HELSINKI).astimezone(UTC) == datetime(
        2026, 6, 1, 11, 7, tzinfo=UTC
    )


@pytest.mark.parametrize(
    ("wall", "words"),
    [
        (
            datetime.fromisoformat("2026-03-29 03:30"),
            "2026-03-29 03:30 does not exist in Europe/Helsinki: the clocks go forward then.",
        ),
        (
            datetime.fromisoformat("2026-10-25 03:30"),
            "2026-10-25 03:30 comes twice in Europe/Helsinki: the clocks go back then."
            " Write 2026-10-25T03:30+03:00 or 2026-10-25T03:30+02:00.",
        ),
    ],
)
def test_a_skipped_and_a_doubled_hour_are_asked_about(wall, words):
    with pytest.raises(NoSuchMoment) as refused:
        one_moment(wall, HELSINKI)

    assert str(refused.value) == words


def test_with_an_offset_the_doubled_hour_is_clear():
    first = one_moment(datetime.fromisoformat("2026-10-25T03:30+03:00"), HELSINKI)
    second = one_moment(datetime.fromisoformat("2026-10-25T03:30+02:00"), HELSINKI)

    assert [each.astimezone(UTC).hour for each in (first, second)] == [0, 1]


def test_an_unknown_zone_is_named():
    with pytest.raises(NoSuchMoment, match="'Mars/Base' is not a time zone"):
        zone_named("Mars/Base")
