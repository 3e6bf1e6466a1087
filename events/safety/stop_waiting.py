"""What a stop asks of somebody, for the day page."""

from dataclasses import dataclass
from datetime import datetime

from events.rulebook.loader import Rulebook
from events.safety.models import Completion, Suspension
from events.safety.stopped import stop_of
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class StopWaits:
    """`text` in one line; `until` the restart that stands, None once there is no clock; `choice`: what counts of a
    round that was not finished is to be chosen."""

    text: str
    until: datetime | None
    choice: bool


def stop_waits(event: Event, book: Rulebook, now: datetime) -> StopWaits | None:
    """None while nothing of a stop waits (1 query; 3 more in a stop, 1 more after a round was not finished)."""
    last = Suspension.objects.filter(event=event).order_by("-signalled_at", "-pk").first()
    if last is None:
        return None
    if last.ended_at is not None:
        return _after(event, last)
    stop = stop_of(event, last, book)
    call = stop.next_at(now)
    due = f"; {call.words}" if call is not None and call.due <= now else ""
    return StopWaits(f"Play is suspended: {last.get_cause_display()}{due}", stop.restart, choice=False)


def _after(event: Event, last: Suspension) -> StopWaits | None:
    if last.ended != Suspension.Ended.CANCELLED:
        return None
    if Completion.objects.filter(event=event, at__gte=last.ended_at).exists():
        return None
    return StopWaits("A round was not finished: choose what counts", None, choice=True)
