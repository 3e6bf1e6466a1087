"""The banner of a stop and the notices on every phone's page, with what they poll with."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from events.log.services import revision
from events.safety.notice_words import NoticeShown
from events.safety.stop_words import StopShown, stop_shown
from events.safety.stopped import stop_now
from events.safety.told import told_at
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class StopSeen:
    """`stop` is None while play goes on, `told` are the notices; `until` in seconds since 1970, `now` when
    all this was true."""

    revision: int
    until: int
    now: datetime
    stop: StopShown | None
    told: tuple[NoticeShown, ...]


def stop_at(event: Event, now: datetime) -> StopShown | None:
    """The stop as everybody reads it; None while play goes on (1 query, 5 in a stop)."""
    stop = stop_now(event)
    return None if stop is None else stop_shown(stop, event, now)


def stop_seen(event: Event, now: datetime) -> StopSeen:
    """4 queries, 8 in a stop; 2 more with a hazard for the board. The revision is read first, as on the board."""
    number = revision(event.slug)
    stop = stop_at(event, now)
    told = told_at(event, now, stopped=stop is not None)
    midnight = event.at(event.local(now).date() + timedelta(days=1), time(0))
    moments = [midnight, *([told.changes_at] if told.changes_at is not None else [])]
    moments += [stop.restart] if stop is not None and not stop.passed else []
    return StopSeen(number, int(min(moments).timestamp()) + 1, event.local(now), stop, told.rows)
