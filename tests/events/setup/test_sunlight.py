"""The sun wherever a round is planned: its times, what is missing for them, and rounds that end in the dark."""

from datetime import date, datetime, time
from typing import Any

import pytest
from django.urls import reverse

import build
from events.setup.models import Event, Role
from events.setup.planned_sun import dark_rounds, plan_daylight
from events.setup.queries import plan_of
from events.setup.sunlight import NO_PLACE, daylight, in_the_dark

pytestmark = pytest.mark.django_db
OSLO: dict[str, Any] = {"latitude": "59.91", "longitude": "10.75", "time_zone": "Europe/Oslo"}
TROMSO: dict[str, Any] = {"latitude": "69.65", "longitude": "18.96", "time_zone": "Europe/Oslo"}
MIDSUMMER, MIDWINTER, AUTUMN = date(2026, 6, 21), date(2026, 12, 21), date(2026, 10, 10)


def placed(place: dict[str, Any]) -> Event:
    event = build.make_event(**place)
    event.refresh_from_db()
    return event


def said(event: Event, day: date, first: time, last: time) -> str:
    def at(clock: time) -> datetime:
        return datetime.combine(day, clock, tzinfo=event.zone)

    return in_the_dark(daylight(event, [day]), at(first), at(last))


def test_without_coordinates_it_says_what_to_fill_in(event: Event) -> None:
    light = daylight(event, [MIDSUMMER])
    assert (light.days, light.missing) == ((), NO_PLACE)
    assert said(event, MIDWINTER, time(3), time(23)) == ""


def test_each_day_once_and_in_order() -> None:
    light = daylight(placed(OSLO), [AUTUMN, MIDSUMMER, AUTUMN])
    assert [day.on for day in light.days] == [MIDSUMMER, AUTUMN]


def test_a_round_within_daylight_asks_nothing() -> None:
    assert said(placed(OSLO), MIDSUMMER, time(9), time(20)) == ""


def test_a_round_that_ends_after_sunset_is_told_with_both_times() -> None:
    """An independent ephemeris (centre of the disc at -0:50): 18:23:04, 07:43:45, dusk 19:04:38."""
    assert said(placed(OSLO), AUTUMN, time(13), time(19)) == (
        "The last group may finish about 19:00, after sunset at 18:23; civil twilight ends at 19:05."
    )


def test_a_start_before_sunrise_is_told_too() -> None:
    assert said(placed(OSLO), AUTUMN, time(7), time(12)) == (
        "The first start at 07:00 is before sunrise at 07:44."
    )


def test_midnight_sun_asks_nothing_and_polar_night_is_dark() -> None:
    event = placed(TROMSO)
    assert said(event, MIDSUMMER, time(1), time(23)) == ""
    assert said(event, MIDWINTER, time(11), time(13)) == (
        "The sun does not rise that day: play would be in the dark."
    )


def test_the_plan_names_the_round_that_the_day_is_too_short_for() -> None:
    event = placed(OSLO)
    event.rounds.update(date=AUTUMN)
    event.rounds.filter(number=2).update(first_start=time(15))
    plan = plan_of(event)
    light = plan_daylight(event, plan)
    assert [day.on for day in light.days] == [AUTUMN]
    assert dark_rounds(event, plan, light) == [
        "Round 2: Who starts first may finish about 19:00, after sunset at 18:23; civil twilight ends at 19:05."
    ]


@pytest.mark.parametrize("name", ["setup:plan", "draw:overview", "day"])
def test_the_sun_stands_wherever_times_of_play_are(client_as: Any, event: Event, name: str) -> None:
    client = client_as(Role.VIEWER)
    url = reverse(name, args=[event.slug])
    assert NO_PLACE in client.get(url).content.decode()
    Event.objects.filter(pk=event.pk).update(latitude="51.48", longitude="0", time_zone="UTC")
    page = client.get(url).content.decode()
    assert NO_PLACE not in page
    assert "Sunrise 03:43, sunset 20:17." in page
    assert "At latitude 51.48, longitude 0.00." in page
