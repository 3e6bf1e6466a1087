"""The event's days and moments, as duties are dated from them. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

Moment = date | datetime


@dataclass(frozen=True, slots=True)
class DivisionTimes:
    """A division in a round. `ends`: when its round before is expected to be over, None in its first."""

    first: datetime
    tee_times: bool
    before_ends: datetime | None = None


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """A round with its divisions. `shotguns`: the moments at which groups start together. `ends`: expected.

    `published`: since when its tee sheet is out, None while it is not.
    """

    number: int
    first: datetime
    ends: datetime
    divisions: Mapping[str, DivisionTimes]
    shotguns: tuple[datetime, ...] = ()
    published: datetime | None = None


@dataclass(frozen=True, slots=True)
class EventPlan:
    """The event's days and moments as they stand now. Moments are aware; None: not set.

    `days_off`: holidays, over which business days pass.
    """

    zone: tzinfo
    first_day: date
    last_day: date
    registration_opens: datetime | None = None
    registration_closes: datetime | None = None
    checkin_opens: datetime | None = None
    over_at: datetime | None = None
    days_off: frozenset[date] = frozenset()
    rounds: tuple[RoundPlan, ...] = ()

    def local(self, moment: datetime) -> datetime:
        return moment.astimezone(self.zone)


def words(due: Moment) -> str:
    """Fri 12 June 2026, with the clock of the place where it is a moment."""
    day = f"{due:%a} {due.day} {due:%B %Y}"
    return f"{day} {due:%H:%M}" if isinstance(due, datetime) else day


def short(due: Moment) -> str:
    """Fri 12 Jun 2026, for a narrow column."""
    day = f"{due:%a} {due.day} {due:%b %Y}"
    return f"{day} {due:%H:%M}" if isinstance(due, datetime) else day
