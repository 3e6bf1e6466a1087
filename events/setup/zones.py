"""Time zones: the machine's, as a first guess of the venue's, and moments of wall-clock times without guessing."""

import os
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones


def local_zone() -> str:
    """The name of this machine's time zone; UTC where it does not tell."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named in available_timezones():
        return named
    parts = Path("/etc/localtime").resolve().parts
    name = "/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else ""
    return name if name in available_timezones() else "UTC"


class NoSuchMoment(ValueError):
    """A wall-clock time that does not name one moment; the message is a sentence to show."""


def zone_named(name: str) -> ZoneInfo:
    """The zone of that name. Raises NoSuchMoment."""
    if name not in available_timezones():
        raise NoSuchMoment(
            f"{name[:60]!r} is not a time zone. Write it as in Europe/Helsinki or America/Denver."
        )
    return ZoneInfo(name)


def one_moment(wall: datetime, zone: ZoneInfo) -> datetime:
    """The moment of a naive wall-clock time, in its zone; a time with its own offset is taken as it is.

    Raises NoSuchMoment for a time that the clocks skip in spring, and for one that comes twice in autumn: a restart
    clock that is wrong by an hour is worse than a question.
    """
    if wall.tzinfo is not None:
        return wall.astimezone(zone)
    first, second = (wall.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != wall:
        raise NoSuchMoment(f"{wall:%Y-%m-%d %H:%M} does not exist in {zone.key}: the clocks go forward then.")
    if first.utcoffset() != second.utcoffset():
        raise NoSuchMoment(
            f"{wall:%Y-%m-%d %H:%M} comes twice in {zone.key}: the clocks go back then."
            f" Write {first.isoformat(timespec='minutes')} or {second.isoformat(timespec='minutes')}."
        )
    return first
