"""The banner of a stop on pages that show something else, with what they poll with."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from events.log.services import revision
from events.safety.stop_words import StopShown, stop_shown
from events.safety.stopped import stop_now
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class StopSeen:
    """`stop` is None while play goes on; `until` in seconds since 1970, `now` when all this was true."""

    revision: int
    until: int
    now: datetime
    stop: StopShown | None


def stop_at(event: Event, now: datetime) -> StopShown | None:
    """The stop as everybody reads it; None while play goes on (1 query, 5 in a stop)."""
    stop = stop_now(event)
    return None if stop is None else stop_shown(stop, event, now)


def stop_seen(event: Event, now: datetime) -> StopSeen:
    """2 queries, 6 in a stop. The revision is read first, as on the board."""
    number = revision(event.slug)
    stop = stop_at(event, now)
    midnight = event.at(event.local(now).date() + timedelta(days=1), time(0))
    ends = stop.restart if stop is not None and not stop.passed else midnight
    return StopSeen(number, int(min(midnight, ends).timestamp()) + 1, event.local(now), stop)
