"""The sun over the venue on the days of play, and what it says to the times of play."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from events.setup.models import Event
from events.setup.sun import SunDay, sun_on, to_the_minute

NO_PLACE = "Fill in latitude and longitude of the venue, and sunrise and sunset are shown here."


@dataclass(frozen=True, slots=True)
class Daylight:
    """`days` in order; `missing` says what to fill in where the venue has no coordinates."""

    days: tuple[SunDay, ...]
    missing: str = ""

    @property
    def on(self) -> dict[date, SunDay]:
        return {day.on: day for day in self.days}


def daylight(event: Event, days: Iterable[date]) -> Daylight:
    """The sun over the venue on these dates (no query)."""
    if event.latitude is None or event.longitude is None:
        return Daylight((), NO_PLACE)
    latitude, longitude = float(event.latitude), float(event.longitude)
    return Daylight(tuple(sun_on(day, latitude, longitude, event.zone) for day in sorted(set(days))))


def in_the_dark(light: Daylight, start: datetime, end: datetime, *, who: str = "The last group") -> str:
    """A sentence where play is before sunrise or after sunset; else "". `start` and `end` in the venue's zone.

    A midnight sun asks nothing; in a polar night every hour is dark.
    """
    sun = light.on.get(start.date())
    if sun is None:
        return ""
    if sun.light.state == "always below":
        return "The sun does not rise that day: play would be in the dark."
    said = []
    if sun.light.start is not None and start < sun.light.start:
        said.append(f"The first start at {start:%H:%M} is before sunrise at {_clock(sun.light.start)}.")
    if sun.light.end is not None and end > sun.light.end:
        dusk = f"; civil twilight ends at {_clock(sun.civil.end)}" if sun.civil.end is not None else ""
        said.append(f"{who} may finish about {end:%H:%M}, after sunset at {_clock(sun.light.end)}{dusk}.")
    return " ".join(said)


def _clock(moment: datetime) -> str:
    return f"{to_the_minute(moment):%H:%M}"
