"""Reading the clocks of a day: rounds, check-in and delays, as they stand and as they stood before any delay."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from events.draw.delaying import starts_before_moving
from events.draw.models import Delay as TypedDelay
from events.logistics.play import RoundTimes, Stop
from events.logistics.playing_times import playing_times
from events.logistics.running.anchors import Anchor, Played, anchors_of
from events.logistics.running.delaying import JUST_BEFORE
from events.logistics.running.delays import Delay
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round

ONE_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Clocks:
    """A day's clocks in UTC. `rounds` as they stand; `planned` and `found`: the anchors before and after delays.

    `times` and `first_times`: of all days, by round id, as they stand and as they stood. `not_played`: numbers of the
    day's rounds that were given up before anybody had started.
    """

    day: date
    rounds: tuple[Played, ...]
    planned: Mapping[Anchor, datetime]
    found: Mapping[Anchor, datetime]
    delays: tuple[Delay, ...]
    typed: tuple[TypedDelay, ...]
    stops: tuple[Stop, ...]
    times: Mapping[int, RoundTimes]
    first_times: Mapping[int, RoundTimes]
    not_played: tuple[int, ...] = ()


def days_of(event: Event) -> list[date]:
    """The days of the event, and those of rounds outside of them (1 query)."""
    count = (event.ends_on - event.starts_on).days + 1
    days = {event.starts_on + timedelta(days=number) for number in range(count)}
    return sorted(days | set(Round.objects.filter(event=event).values_list("date", flat=True)))


def clocks_of(event: Event, day: date, now: datetime, book: Rulebook) -> Clocks:
    """10 queries; 3 more while play is suspended."""
    play = playing_times(event, now, book)
    before = starts_before_moving(event)
    first_times = {pk: clock.planned(before.get(pk, clock.moments)) for pk, clock in play.written.items()}
    typed = tuple(row for row in play.typed if event.local(row.since).date() == day)
    stops = tuple(stop for stop in play.stops if not stop.typed and event.local(stop.since).date() == day)
    rounds, planned = _played(event, day, play.rounds), _played(event, day, first_times)
    opens, closes = (_on(event, day, moment) for moment in (event.checkin_opens_at, event.checkin_closes_at))
    opened = next((row.checkin_opened_at for row in typed if row.checkin_opened_at), opens)
    closed = next((row.checkin_closed_at for row in typed if row.checkin_closed_at), closes)
    return Clocks(
        day=day,
        rounds=rounds,
        planned=anchors_of(planned, opens=opened, closes=closed),
        found=anchors_of(rounds, opens=opens, closes=closes),
        delays=_delays(event, stops, typed),
        typed=typed,
        stops=stops,
        times=play.rounds,
        first_times=first_times,
        not_played=tuple(
            clock.number
            for pk, clock in play.rounds.items()
            if clock.given_up and not clock.starts and event.local(clock.given_up).date() == day
        ),
    )


def _on(event: Event, day: date, moment: datetime | None) -> datetime | None:
    return moment if moment is not None and event.local(moment).date() == day else None


def _midnight(event: Event, moment: datetime) -> datetime:
    """The end of the local day of a moment."""
    return event.at(event.local(moment).date() + timedelta(days=1), time(0)).astimezone(UTC)


def _as_delay(event: Event, stop: Stop) -> Delay:
    """As the restart moves what was to come: by whole minutes."""
    whole = -(-(stop.until - stop.since) // ONE_MINUTE) * ONE_MINUTE
    return Delay(stop.since, whole, f"play stopped: {stop.cause}", _midnight(event, stop.since))


def _delays(event: Event, stops: Sequence[Stop], typed: Sequence[TypedDelay]) -> tuple[Delay, ...]:
    """What moves the rest of the day: a stop after which play does not go on that day moves nothing."""
    by_hand = [
        Delay(
            row.since - JUST_BEFORE, timedelta(minutes=row.minutes), row.reason, _midnight(event, row.since)
        )
        for row in typed
    ]
    stopped = [_as_delay(event, stop) for stop in stops if stop.goes_on is None and not stop.given_up]
    return tuple(sorted([*by_hand, *stopped], key=lambda delay: delay.since))


def _played(event: Event, day: date, times: Mapping[int, RoundTimes]) -> tuple[Played, ...]:
    """The rounds of the day, or what of them is played on it."""
    found = []
    for clock in times.values():
        starts = tuple(start for start in clock.starts if event.local(start.moment).date() == day)
        begins, ends = _parted(event, day, clock)
        if starts or begins is not None:
            given_up = clock.given_up is not None
            found.append(Played(clock.number, starts, clock.stops, begins, ends, given_up))
    return tuple(found)


def _parted(event: Event, day: date, clock: RoundTimes) -> tuple[datetime | None, datetime | None]:
    """When a round that was stopped for the day goes on on this one, and when it ends on it; None where it is whole."""
    stop = clock.parted
    if stop is None or stop.goes_on is None:
        return None, None
    if event.local(stop.since).date() == day:
        return None, stop.since
    return (stop.goes_on, clock.ends) if event.local(stop.goes_on).date() == day else (None, None)
