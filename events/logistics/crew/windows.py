"""When a round is played, as far as it is known: from the starts of its groups and the stops of play. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from events.logistics.crew.duties import (
    CHECKIN_CLOSES,
    CHECKIN_OPENS,
    FIRST_START,
    LAST_START,
    ROUND_END,
)


@dataclass(frozen=True, slots=True)
class Span:
    """From one moment to a later one."""

    starts: datetime
    ends: datetime

    def meets(self, other: "Span") -> bool:
        """They share some time; one that begins as the other ends does not."""
        return self.starts < other.ends and other.starts < self.ends

    def holds(self, other: "Span") -> bool:
        return self.starts <= other.starts and other.ends <= self.ends

    @property
    def minutes(self) -> int:
        return int((self.ends - self.starts).total_seconds() // 60)


def end_of(start: datetime, length: timedelta, stops: Sequence[Span]) -> datetime:
    """When a group that started then has played for `length`, not counting the stops it stood through.

    A group that had not started when play was stopped got a later start instead, so such a stop counts nothing here.
    """
    end = start + length
    for stop in sorted(stops, key=lambda span: span.starts):
        if start <= stop.starts < end:
            end += stop.ends - stop.starts
    return end


@dataclass(frozen=True, slots=True)
class RoundTimes:
    """One round's clock. `starts`: of its groups, or of its pools while nothing is published."""

    number: int
    starts: tuple[datetime, ...]
    length: timedelta
    stops: tuple[Span, ...] = ()
    checkin_opens: datetime | None = None
    checkin_closes: datetime | None = None

    @property
    def anchors(self) -> Mapping[str, datetime | None]:
        return {
            CHECKIN_OPENS: self.checkin_opens,
            CHECKIN_CLOSES: self.checkin_closes,
            FIRST_START: min(self.starts, default=None),
            LAST_START: max(self.starts, default=None),
            ROUND_END: max((end_of(start, self.length, self.stops) for start in self.starts), default=None),
        }


def span_from(
    times: RoundTimes, from_anchor: str, from_minutes: int, to_anchor: str, to_minutes: int
) -> Span | None:
    """The hours of a shift that is tied to a round; None where a moment is not known, or nothing is left between."""
    first, last = times.anchors.get(from_anchor), times.anchors.get(to_anchor)
    if first is None or last is None:
        return None
    span = Span(first + timedelta(minutes=from_minutes), last + timedelta(minutes=to_minutes))
    return span if span.starts < span.ends else None
