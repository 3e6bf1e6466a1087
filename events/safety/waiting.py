"""What in the weather waits for somebody, for the day page."""

from dataclasses import dataclass
from datetime import datetime

from events.rulebook.loader import Rulebook
from events.safety.shown import TITLES
from events.safety.weather import standing_of
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class WeatherWaits:
    """`met`: what the limits that are met ask for, "" where none is. `urgent`: they speak of stopping. `lightning`:
    a bolt is among them. `old`: which figures rest on an old reading, in words, "" while all are fresh.
    """

    met: str
    urgent: bool
    lightning: bool
    old: str


def weather_waits(event: Event, book: Rulebook, now: datetime) -> WeatherWaits:
    """4 queries. While play is suspended nobody is told to suspend it: the page of the suspension has its own clock."""
    standing = standing_of(event, now, book)
    old = [TITLES[figure.kind] for figure in standing.shown if figure.old]
    stopped = standing.suspended_at is not None
    return WeatherWaits(
        met=standing.means.first if standing.met and not stopped else "",
        urgent=standing.urgent,
        lightning=bool(standing.lightning.active),
        old=", ".join(dict.fromkeys(old)),
    )
