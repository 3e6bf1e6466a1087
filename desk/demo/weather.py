"""The demo's weather: a mild day, read every three quarters of an hour from before the first start on."""

from datetime import datetime, timedelta

from events.log.services import Actor
from events.safety.readings import take_readings
from events.setup.models import Event

ACTOR = Actor(name="demo")
EVERY = timedelta(minutes=45)
LINES = (
    "17 C, 68 %, wind 2.5 m/s gust 5 m/s",
    "18 C, 64 %, wind 3 m/s gust 6 m/s, UV 2",
    "20 C, 60 %, wind 3.5 m/s gust 7 m/s",
    "22 C, 55 %, wind 4 m/s gust 8 m/s, UV 3",
    "23 C, 52 %, wind 4.5 m/s gust 8 m/s",
    "24 C, 50 %, wind 4 m/s gust 9 m/s, UV 4",
    "24 C, 51 %, wind 3.5 m/s gust 7 m/s",
)


def read_weather(event: Event, *, first_start: datetime, now: datetime) -> None:
    """The lines of the day that have come by now, written down as they were read."""
    for place, text in enumerate(LINES):
        moment = first_start - timedelta(minutes=30) + place * EVERY
        if moment <= now:
            take_readings(
                event=event, text=text, source="hand meter at central", read_at="", actor=ACTOR, now=moment
            )
