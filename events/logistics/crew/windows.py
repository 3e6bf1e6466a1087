"""The hours of a shift that is tied to a round. Pure."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from events.logistics.crew.duties import (
    CHECKIN_CLOSES,
    CHECKIN_OPENS,
    FIRST_START,
    LAST_START,
    ROUND_END,
)
from events.logistics.play import RoundTimes, Span


def anchors_of(times: RoundTimes) -> Mapping[str, datetime | None]:
    """The moments that a shift may hang on. Of a round that goes on another day those of its first day: the shifts of
    the other one are written anew."""
    parted = times.parted
    moments = [moment for moment in times.moments if parted is None or moment <= parted.since]
    return {
        CHECKIN_OPENS: times.checkin_opens,
        CHECKIN_CLOSES: times.checkin_closes,
        FIRST_START: min(moments, default=None),
        LAST_START: max(moments, default=None),
        ROUND_END: times.ends if parted is None else parted.since,
    }


def span_from(
    times: RoundTimes, from_anchor: str, from_minutes: int, to_anchor: str, to_minutes: int
) -> Span | None:
    """The hours of a shift that is tied to a round; None where a moment is not known, or nothing is left between."""
    anchors = anchors_of(times)
    first, last = anchors.get(from_anchor), anchors.get(to_anchor)
    if first is None or last is None:
        return None
    span = Span(first + timedelta(minutes=from_minutes), last + timedelta(minutes=to_minutes))
    return span if span.starts < span.ends else None
