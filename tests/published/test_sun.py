"""The sun against published values and against ephem, an outside library that follows the sun by another theory."""

from datetime import UTC, date, datetime, timedelta
from math import degrees
from zoneinfo import ZoneInfo

import ephem
import pytest

from events.setup.sun import _sun, sun_on

pytestmark = pytest.mark.published

SECONDS = 20  # the largest difference that is taken
# Further north, in the one night before twilight lasts till morning, the sun grazes the 6°: the 8.8″ of parallax that
# ephem has and the published equations do not are then worth this much.
GRAZING_SECONDS = 30


def wall(moment: datetime | None) -> str | None:
    return None if moment is None else f"{moment + timedelta(microseconds=500_000):%H:%M:%S}"


def test_the_textbook_s_sun():
    """Textbook on astronomical algorithms, example 25.a (digits from memory): 1992-10-13 0h, declination −7.78507°.

    The example is in dynamical time, 59 seconds off: less than the last digit that is compared.
    """
    _equation, declination = _sun(datetime(1992, 10, 13, tzinfo=UTC))

    assert degrees(declination) == pytest.approx(-7.78507, abs=0.0003)


def test_the_solar_radiation_report_s_example_by_local_date():
    """NREL/TP-560-34302, example (digits from memory): transit 11:46:04, sunrise 06:12:43, sunset 17:20:19 (UTC day).

    The printed sunset belongs to the UTC day, so to 16 October at the place; that of the local 17th is 17:18:51.
    """
    zone = ZoneInfo("Etc/GMT+7")
    day = sun_on(date(2003, 10, 17), 39.742476, -105.1786, zone)
    before = sun_on(date(2003, 10, 16), 39.742476, -105.1786, zone)

    found = (day.noon, day.light.start, before.light.end, day.light.end)
    printed = ("11:46:04", "06:12:43", "17:20:19", "17:18:51")
    for moment, words in zip(found, printed, strict=True):
        assert abs(_of(moment, words) - moment) <= timedelta(seconds=3)


def _of(moment: datetime, words: str) -> datetime:
    hour, minute, second = (int(part) for part in words.split(":"))
    return moment.replace(hour=hour, minute=minute, second=second, microsecond=0)


@pytest.mark.parametrize(
    ("longitude", "printed"),
    [
        (-77.0, ("05:45", "06:12", "12:16", "18:21", "18:47")),
        (-74.9, ("05:37", "06:04", "12:07", "18:12", "18:39")),
    ],
)
def test_an_observatory_s_print(longitude, printed):
    """Naval observatory's print for 20 March 2002, EST; places to 0.1° only, so within 2 minutes."""
    day = sun_on(date(2002, 3, 20), 38.9, longitude, ZoneInfo("Etc/GMT+5"))

    found = (day.civil.start, day.light.start, day.noon, day.light.end, day.civil.end)
    for moment, words in zip(found, printed, strict=True):
        assert abs(_of(moment, f"{words}:00") - moment) <= timedelta(minutes=2)


@pytest.mark.parametrize(
    ("latitude", "longitude", "on", "zone", "printed"),
    [
        (51.5, -0.1167, "2026-06-21", "Etc/GMT-1", ("03:55:19", "04:43:05", "21:21:30", "22:09:15")),
        (60.17, 24.94, "2026-06-21", "Etc/GMT-3", ("02:01:35", "03:54:00", "22:50:05", "00:42:29")),
        (-0.22, -78.5, "2026-09-23", "Etc/GMT+5", ("05:42:24", "06:03:04", "18:09:34", "18:30:14")),
        (-33.87, 151.21, "2026-12-21", "Etc/GMT-11", ("05:11:28", "05:40:38", "20:05:26", "20:34:36")),
        (39.74, -104.99, "2026-12-21", "Etc/GMT+7", ("06:47:06", "07:17:33", "16:38:49", "17:09:16")),
    ],
)
def test_places_worked_out_by_another_programme(latitude, longitude, on, zone, printed):
    """The published equations, iterated, by another programme: to the second. Dusk at 60° is after midnight."""
    day = sun_on(date.fromisoformat(on), latitude, longitude, ZoneInfo(zone))

    found = (day.civil.start, day.light.start, day.light.end, day.civil.end)
    for moment, words in zip(found, printed, strict=True):
        assert abs(_of(moment, words) - moment) <= timedelta(seconds=2)


def theirs(
    on: date, latitude: float, longitude: float, horizon: str, *, centre: bool
) -> list[datetime | None]:
    """Rise and set around the passage of a date by ephem, in UTC; None where it has none."""
    place = ephem.Observer()
    place.lat, place.lon, place.pressure, place.horizon = str(latitude), str(longitude), 0, horizon
    sun = ephem.Sun()
    place.date = datetime(on.year, on.month, on.day) + timedelta(hours=12 - longitude / 15 - 1)  # noqa: DTZ001
    noon = place.next_transit(sun)
    found = []
    for ask in (place.previous_rising, place.next_setting):
        place.date = noon
        try:
            found.append(ask(sun, use_center=centre).datetime().replace(tzinfo=UTC))
        except ephem.CircumpolarError:
            found.append(None)
    return found


@pytest.mark.parametrize(
    ("latitude", "seconds"),
    [
        (-34.0, SECONDS),
        (0.0, SECONDS),
        (39.7, SECONDS),
        (45.0, SECONDS),
        (55.0, SECONDS),
        (60.0, SECONDS),
        (65.0, GRAZING_SECONDS),
    ],
)
def test_a_year_against_ephem(latitude, seconds):
    """ephem, pressure 0, horizon −34′ with the upper limb and −6° with the centre; every day of 2026."""
    longitude, day = 25.0, date(2026, 1, 1)
    worst, compared = 0.0, 0
    while day.year == 2026:
        ours = sun_on(day, latitude, longitude, UTC)
        for span, horizon, centre in ((ours.light, "-0:34", False), (ours.civil, "-6", True)):
            both = zip(
                (span.start, span.end), theirs(day, latitude, longitude, horizon, centre=centre), strict=True
            )
            for mine, other in both:
                assert (mine is None) == (other is None), (day, horizon)
                if mine and other:
                    worst = max(worst, abs((mine - other).total_seconds()))
                    compared += 1
        day += timedelta(days=1)

    assert worst <= seconds
    assert compared >= 1200


def test_polar_day_and_night_are_values():
    """69.65° N, 18.96° E: no event on 21 June (ephem, skyfield and the equations agree), none by day on 21 December."""
    zone = ZoneInfo("Europe/Oslo")
    summer = sun_on(date(2026, 6, 21), 69.65, 18.96, zone)
    winter = sun_on(date(2026, 12, 21), 69.65, 18.96, zone)

    assert (summer.light.state, summer.light.start, summer.civil.end) == ("always above", None, None)
    assert (winter.light.state, winter.light.start, winter.civil.state) == ("always below", None, "ordinary")
    assert theirs(date(2026, 12, 21), 69.65, 18.96, "-0:34", centre=False) == [None, None]
