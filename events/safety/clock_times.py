"""A time as somebody at the desk types it, `14:05`, into one moment of the day at the venue."""

import re
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from events.setup.zones import NoSuchMoment, one_moment

_CLOCK = re.compile(r"(\d{1,2})[:.](\d{2})(?::(\d{2}))?")
_NIGHT = timedelta(hours=12)


class NotATime(ValueError):
    """What was typed is no time, or one that cannot be; the message is a sentence to show."""


def moment_typed(typed: str, zone: ZoneInfo, now: datetime) -> datetime:
    """`14:05` of today at the venue (just after midnight: 23:50 of the day before), in UTC; empty: now.

    A date may be written too (`2026-06-12 14:05`, also with an offset, which tells the two equal hours of autumn
    apart). Raises NotATime for a time that is still to come, that the clocks skip, or that comes twice.
    """
    text = typed.strip()
    if not text:
        return now
    wall = _wall(text, zone, now)
    try:
        local = one_moment(wall, zone)
    except NoSuchMoment as problem:
        raise NotATime(str(problem)) from None
    moment = local.astimezone(UTC)  # in the two equal hours a zone's own times do not compare
    if moment > now:
        raise NotATime(f"{local:%H:%M} is still to come: it is {now.astimezone(zone):%H:%M} at the venue.")
    return moment


def _wall(text: str, zone: ZoneInfo, now: datetime) -> datetime:
    local = now.astimezone(zone)
    clock = _CLOCK.fullmatch(text)
    try:
        if clock is None:
            return datetime.fromisoformat(text)
        found = time(int(clock[1]), int(clock[2]), int(clock[3] or 0))
    except ValueError:
        raise NotATime(f"{text[:40]!r} is not a time. Write it as 14:05.") from None
    wall = datetime.combine(local.date(), found)
    before_midnight = wall - local.replace(tzinfo=None) > _NIGHT
    return wall - timedelta(days=1) if before_midnight else wall
