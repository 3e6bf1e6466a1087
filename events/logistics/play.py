"""When a round is played: the starts of its groups, the stops it stands through, and its expected end. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo


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


@dataclass(frozen=True, slots=True)
class Start:
    """A moment at which somebody of a division starts, and how long they are taken to play.

    `division` None: of nobody in particular. `holes` None: no layout is chosen, and the length is that of 18.
    `written`: the moment that sheet or plan has; a stop that lasts puts `moment` off from it.
    """

    moment: datetime
    length: timedelta
    holes: int | None = None
    division: int | None = None
    code: str = ""
    tee_times: bool = False
    written: datetime | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """Play stood still, or was held up by a delay that was `typed`.

    `until`: when it went on; while it `lasts`, as things stand. `goes_on`: the moment of another day at which the round
    goes on. `given_up`: the round is not finished.
    """

    since: datetime
    until: datetime
    cause: str = ""
    lasts: bool = False
    goes_on: datetime | None = None
    given_up: bool = False
    typed: bool = False

    @property
    def held_up(self) -> timedelta:
        """How much later they finish who were out."""
        return (self.goes_on or self.until) - self.since


def end_of(start: Start, stops: Sequence[Stop]) -> datetime:
    """When a group that starts then is expected to have finished, or to have stopped for good.

    A group that had not started when play was stopped gets another start instead, so such a stop counts nothing here.
    """
    end = start.moment + start.length
    for stop in sorted(stops, key=lambda stop: stop.since):
        if start.moment <= stop.since < end:
            if stop.given_up:
                return stop.since
            end += stop.held_up
    return end


@dataclass(frozen=True, slots=True)
class RoundTimes:
    """One round's clock. `starts`: of its groups, or of its pools or its plan while nothing is published.

    `published`: since when its sheet is out. `given_up`: since when the round is not finished; starts that were still
    to come are not among `starts`.
    """

    number: int
    starts: tuple[Start, ...]
    stops: tuple[Stop, ...] = ()
    checkin_opens: datetime | None = None
    checkin_closes: datetime | None = None
    published: datetime | None = None
    given_up: datetime | None = None

    @property
    def moments(self) -> tuple[datetime, ...]:
        return tuple(sorted({start.moment for start in self.starts}))

    @property
    def ends(self) -> datetime | None:
        """Expected; on another day where the round goes on then. None where it is not played."""
        return max((end_of(start, self.stops) for start in self.starts), default=None)

    @property
    def parted(self) -> Stop | None:
        """The stop that ended the day while this round was being played."""
        return next((stop for stop in self.stops if stop.goes_on and self.plays_at(stop.since)), None)

    def plays_at(self, moment: datetime) -> bool:
        """Somebody is out on the course then, or stands still in a stop that began earlier."""
        before = [stop for stop in self.stops if stop.since < moment]
        return any(start.moment <= moment < end_of(start, before) for start in self.starts)

    def of_division(self, division: int) -> list[Start]:
        return [start for start in self.starts if start.division in (None, division)]

    def planned(self, moments: Sequence[datetime]) -> "RoundTimes":
        """The round as it was when its starts were these, without stops. Where they are not as many as now, nobody
        knows whose each was."""
        now, was = self.moments, sorted(set(moments))
        clean = replace(self, stops=(), given_up=None)
        if not was:
            return clean
        if len(now) == len(was):
            other = dict(zip(now, was, strict=True))
            return replace(clean, starts=tuple(_at(start, other[start.moment]) for start in self.starts))
        longest = max(self.starts, key=lambda start: start.length)
        nobody = replace(longest, division=None, code="")
        return replace(clean, starts=tuple(_at(nobody, moment) for moment in was))


def _at(start: Start, moment: datetime) -> Start:
    return replace(start, moment=moment)


def projected(rounds: Mapping[int, RoundTimes], stops: Iterable[Stop], zone: tzinfo) -> dict[int, RoundTimes]:
    """The rounds as they come if a stop that lasts ends as things stand: what was still to start that day comes later
    by whole minutes, as the restart will move it."""
    lasting = [stop for stop in stops if stop.lasts]

    def moved(start: Start) -> Start:
        for stop in lasting:
            same_day = start.moment.astimezone(zone).date() == stop.since.astimezone(zone).date()
            if start.moment > stop.since and same_day:
                minutes = -(-(stop.until - stop.since) // timedelta(minutes=1))
                start = _at(start, start.moment + timedelta(minutes=minutes))
        return start

    return {pk: replace(clock, starts=tuple(map(moved, clock.starts))) for pk, clock in rounds.items()}


def given_up(rounds: Mapping[int, RoundTimes], stops: Iterable[Stop], zone: tzinfo) -> dict[int, RoundTimes]:
    """The rounds as far as they are played: one that was given up ends at the stop, and nobody starts in it any more.

    It is the round that was being played then, else the next one of that day.
    """
    found = dict(rounds)
    for stop in stops:
        if not stop.given_up:
            continue
        hit = [pk for pk, clock in found.items() if clock.plays_at(stop.since)] or _next(found, stop, zone)
        for pk in hit:
            clock = found[pk]
            left = tuple(start for start in clock.starts if start.moment <= stop.since)
            found[pk] = replace(clock, starts=left, given_up=stop.since)
    return found


def _next(rounds: Mapping[int, RoundTimes], stop: Stop, zone: tzinfo) -> list[int]:
    def day(moment: datetime) -> date:
        return moment.astimezone(zone).date()

    coming = [
        (clock.moments[0], pk)
        for pk, clock in rounds.items()
        if clock.moments and clock.moments[0] > stop.since and day(clock.moments[0]) == day(stop.since)
    ]
    return [min(coming)[1]] if coming else []
