"""What a delay moves. Pure: moments are aware and in UTC, so that adding minutes is right over a change of clocks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True, slots=True)
class Delay:
    """Everything that was to come after `since` comes later by `by`, up to `until` (the end of that day)."""

    since: datetime
    by: timedelta
    why: str
    until: datetime

    def moves(self, moment: datetime) -> bool:
        return self.since < moment < self.until


def in_order(delays: Sequence[Delay]) -> list[Delay]:
    return sorted(delays, key=lambda delay: delay.since)


def shifted(moment: datetime, delays: Sequence[Delay]) -> datetime:
    """When something set for `moment` comes after the delays, one after the other.

    What lay at the beginning of a delay or before it has come, and stays. The order of any two moments stays.
    """
    for delay in in_order(delays):
        if delay.moves(moment):
            moment += delay.by
    return moment


def settled(planned: datetime, found: datetime, delays: Sequence[Delay]) -> datetime:
    """When something tied to a round or to check-in comes: `found` as these stand now, `planned` as they stood first.

    What had happened before the last delay stays where it happened, even where the round it belongs to has moved since.
    """
    if not delays:
        return found
    last = max(delay.since for delay in delays)
    carried = shifted(planned, delays)
    return min(found, carried) if carried <= last else found
