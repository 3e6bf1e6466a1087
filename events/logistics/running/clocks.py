"""Reading the clocks of a day: rounds, check-in and delays, as they stand and as they stood before any delay."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from events.draw.delaying import starts_before_moving
from events.draw.models import Delay as TypedDelay
from events.draw.models import Pool
from events.logistics.crew.times import times_of
from events.logistics.crew.windows import RoundTimes
from events.logistics.running.anchors import Anchor, Played, anchors_of
from events.logistics.running.delaying import JUST_BEFORE
from events.logistics.running.delays import Delay, shifted
from events.rulebook.loader import Rulebook
from events.safety.models import Notice, Suspension
from events.safety.stopped import stop_of
from events.setup.models import Event, Round, StartType

ONE_MINUTE = timedelta(minutes=1)
A_LONG_STOP = timedelta(hours=6)  # a round may have been held up as long before play ended for the day


@dataclass(frozen=True, slots=True)
class Stopped:
    """A stop of play. `until` None: it lasts, and nobody knows for how long; `lasts`: then `until` is as things stand.
    `goes_on`: the other day's moment at which its round goes on."""

    since: datetime
    until: datetime | None
    cause: str
    lasts: bool
    goes_on: datetime | None = None


@dataclass(frozen=True, slots=True)
class Clocks:
    """A day's clocks in UTC. `rounds` as they stand; `planned` and `found`: the anchors before and after delays."""

    day: date
    rounds: tuple[Played, ...]
    later: tuple[Played, ...]  # of the days after it
    planned: Mapping[Anchor, datetime]
    found: Mapping[Anchor, datetime]
    delays: tuple[Delay, ...]
    typed: tuple[TypedDelay, ...]
    stops: tuple[Stopped, ...]
    first_times: dict[int, RoundTimes]  # by round id, before any delay


def days_of(event: Event) -> list[date]:
    """The days of the event, and those of rounds outside of them (1 query)."""
    count = (event.ends_on - event.starts_on).days + 1
    days = {event.starts_on + timedelta(days=number) for number in range(count)}
    return sorted(days | set(Round.objects.filter(event=event).values_list("date", flat=True)))


def clocks_of(event: Event, day: date, now: datetime, book: Rulebook) -> Clocks:
    """11 queries; 3 more while play is suspended."""
    times = times_of(event, now)
    stops = _stops(event, now, book)
    every = TypedDelay.objects.filter(event=event, taken_back_at__isnull=True)
    typed = [row for row in every if event.local(row.since).date() == day]
    delays = _delays(event, day, stops, typed)
    lasting = [_as_delay(event, stop) for stop in stops if stop.lasts]
    before = starts_before_moving(event)
    shotguns = _shotguns(event)
    first_times = {
        pk: replace(clock, starts=before.get(pk, clock.starts), stops=()) for pk, clock in times.items()
    }
    now_times = {
        pk: replace(clock, starts=tuple(shifted(start, lasting) for start in clock.starts))
        for pk, clock in times.items()
    }
    rounds = _played(event, day, now_times, shotguns, stops)
    planned = _played(event, day, first_times, shotguns, ())
    opens, closes = (_on(event, day, moment) for moment in (event.checkin_opens_at, event.checkin_closes_at))
    opened = next((row.checkin_opened_at for row in typed if row.checkin_opened_at), opens)
    closed = next((row.checkin_closed_at for row in typed if row.checkin_closed_at), closes)
    return Clocks(
        day=day,
        rounds=rounds,
        later=_later(event, day, times, shotguns),
        planned=anchors_of(planned, opens=opened, closes=closed),
        found=anchors_of(rounds, opens=opens, closes=closes),
        delays=delays,
        typed=tuple(typed),
        stops=tuple(stop for stop in stops if event.local(stop.since).date() == day),
        first_times=first_times,
    )


def _on(event: Event, day: date, moment: datetime | None) -> datetime | None:
    return moment if moment is not None and event.local(moment).date() == day else None


def _midnight(event: Event, moment: datetime) -> datetime:
    """The end of the local day of a moment."""
    return event.at(event.local(moment).date() + timedelta(days=1), time(0)).astimezone(UTC)


def _stops(event: Event, now: datetime, book: Rulebook) -> list[Stopped]:
    """Every stop of play (2 queries); one that lasts runs to the restart that stands (3 more)."""
    reasons = Notice.objects.filter(event=event, kind=Notice.Kind.DELAY, suspension__isnull=False)
    goes_on = dict(reasons.values_list("suspension", "until"))
    found = []
    for row in Suspension.objects.filter(event=event).order_by("signalled_at"):
        lasts = row.ended_at is None
        until = max(now, stop_of(event, row, book).restart.astimezone(UTC)) if lasts else row.ended_at
        other_day = goes_on.get(row.pk) if row.ended == Suspension.Ended.NEXT_DAY else None
        found.append(Stopped(row.signalled_at, until, row.get_cause_display(), lasts, other_day))
    return found


def _as_delay(event: Event, stop: Stopped) -> Delay:
    """As the restart moves what was to come: by whole minutes."""
    by = (stop.until or stop.since) - stop.since
    whole = -(-by // ONE_MINUTE) * ONE_MINUTE
    return Delay(stop.since, whole, f"play stopped: {stop.cause}", _midnight(event, stop.since))


def _delays(
    event: Event, day: date, stops: Sequence[Stopped], typed: Sequence[TypedDelay]
) -> tuple[Delay, ...]:
    by_hand = [
        Delay(
            row.since - JUST_BEFORE, timedelta(minutes=row.minutes), row.reason, _midnight(event, row.since)
        )
        for row in typed
    ]
    stopped = [
        _as_delay(event, stop)
        for stop in stops
        if event.local(stop.since).date() == day and stop.goes_on is None
    ]
    return tuple(sorted([*by_hand, *stopped], key=lambda delay: delay.since))


def _shotguns(event: Event) -> dict[int, bool]:
    """Round id → whether everybody starts at once, by its pools, else by the plan (2 queries)."""
    found = {
        pk: kind == StartType.SHOTGUN
        for pk, kind in Round.objects.filter(event=event).values_list("pk", "start_type")
    }
    pools: dict[int, list[str]] = {}
    rows = Pool.objects.filter(round__event=event, retired=False).values_list("round_id", "start_type")
    for pk, kind in rows:
        pools.setdefault(pk, []).append(kind)
    return found | {pk: all(kind == StartType.SHOTGUN for kind in kinds) for pk, kinds in pools.items()}


def _played(
    event: Event,
    day: date,
    times: Mapping[int, RoundTimes],
    shotguns: Mapping[int, bool],
    stops: Sequence[Stopped],
) -> tuple[Played, ...]:
    """The rounds of the day, or what of them is played on it."""
    found = []
    for pk, clock in times.items():
        starts = tuple(start for start in clock.starts if event.local(start).date() == day)
        begins, ends = _parted(event, day, clock, stops)
        if starts or begins is not None:
            cut = tuple(each for each in clock.stops if event.local(each.starts).date() == day)
            found.append(Played(clock.number, starts, clock.length, cut, shotguns[pk], begins, ends))
    return tuple(found)


def _parted(
    event: Event, day: date, clock: RoundTimes, stops: Sequence[Stopped]
) -> tuple[datetime | None, datetime | None]:
    """When a round that was stopped for the day goes on on this one, and when it ends on it; None where it is whole.

    What the last group had left when play ended, it plays on the other day.
    """
    begins = ends = None
    for stop in stops:
        begun = [start for start in clock.starts if start <= stop.since < start + clock.length + A_LONG_STOP]
        if stop.goes_on is None or not begun:
            continue
        if event.local(stop.since).date() == day:
            ends = stop.since
        if event.local(stop.goes_on).date() == day:
            left = clock.length - (stop.since - max(begun))
            later = [start + clock.length for start in clock.starts if start >= stop.goes_on]
            begins, ends = stop.goes_on, max([stop.goes_on + left, *later])
    return begins, ends


def _later(
    event: Event, day: date, times: Mapping[int, RoundTimes], shotguns: Mapping[int, bool]
) -> tuple[Played, ...]:
    return tuple(
        Played(clock.number, clock.starts, clock.length, clock.stops, shotguns[pk])
        for pk, clock in times.items()
        if event.local(min(clock.starts)).date() > day
    )
