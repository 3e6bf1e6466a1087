"""The run of one day: everything that happens, in order, with what it was before it was moved."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from events.course.round_length import MINUTES_KEY
from events.logistics.countdown.dating import dated
from events.logistics.countdown.duties import rules_for
from events.logistics.countdown.queries import Countdown, countdown_of
from events.logistics.countdown.times import event_plan
from events.logistics.running.anchors import OF_A_ROUND
from events.logistics.running.clocks import Clocks, clocks_of
from events.logistics.running.laying import (
    SUN,
    Item,
    Line,
    in_order,
    lay_out,
)
from events.logistics.running.models import RunItem
from events.logistics.running.others import due_lines, shift_lines, stop_lines, sun_lines
from events.logistics.running.usual import open_in_time, play_of, usual_from, usual_items
from events.rulebook.loader import Rulebook
from events.safety.waiting import weather_waits
from events.setup.models import Event
from events.setup.queries import rulebook_for
from events.setup.sun import SunDay
from events.setup.sunlight import Daylight, daylight, in_the_dark


@dataclass(frozen=True, slots=True)
class Run:
    """A day. `lines` in order, in UTC; `warnings` are sentences; `removed`: items that were taken out of it."""

    day: date
    lines: tuple[Line, ...]
    items: Mapping[str, Item]  # by key, those that may be kept otherwise
    clocks: Clocks
    sun: SunDay | None
    no_sun: str
    warnings: tuple[str, ...]
    removed: tuple[RunItem, ...]
    all_day: tuple[str, ...]  # due on the day, at no hour
    length_minutes: int

    def next_after(self, now: datetime) -> Line | None:
        """What somebody has to do next."""
        return next((line for line in self.lines if line.starts > now and line.lane != SUN), None)


def run_of(event: Event, day: date, now: datetime) -> Run:
    """Everything on a day of the event. 21 queries, whatever is on it; 4 more today, 3 more while play is suspended."""
    book = rulebook_for(event)
    clocks = clocks_of(event, day, now, book)
    kept = list(RunItem.objects.filter(event=event, day=day).select_related("round").order_by("pk"))
    light = daylight(event, [day])
    sun = light.on.get(day)
    shifts = list(shift_lines(event, clocks))
    items = list(_items(clocks, book, last_day=day == event.ends_on))
    in_at = [line.starts for line in shifts if event.local(line.starts).date() == day]
    every = _with_kept(event, day, open_in_time(items, clocks.found, in_at), kept)
    laid = lay_out(
        every,
        planned=clocks.planned,
        found=clocks.found,
        delays=clocks.delays,
    )
    countdown = countdown_of(event, now, book, clocks.times)
    lines = [
        *laid,
        *sun_lines(sun),
        *stop_lines(clocks),
        *_due_lines(event, clocks, countdown, book),
        *shifts,
    ]
    return Run(
        day=day,
        lines=tuple(in_order(_on_day(event, day, lines))),
        items={item.key: item for item in every if item.usual or item.pk is not None},
        clocks=clocks,
        sun=sun,
        no_sun=light.missing,
        warnings=(*_weather(event, day, book, now), *_warnings(event, clocks, light)),
        all_day=tuple(line.what for line in countdown.lines if line.due == day and line.open),
        removed=tuple(item for item in kept if item.removed_at is not None),
        length_minutes=book.int(MINUTES_KEY),
    )


def _items(clocks: Clocks, book: Rulebook, *, last_day: bool) -> Iterator[Item]:
    yield from play_of(
        clocks.rounds,
        card_minutes=book.int("card.return_minutes"),
        card_rule=book.value("card.return_minutes").source,
    )
    yield from usual_items(
        usual_from(book.rows("practice.run_of_the_day")),
        clocks.rounds,
        last_day=last_day,
        signal_minutes=book.int("start.two_minute_seconds") // 60,
    )


def _due_lines(event: Event, clocks: Clocks, countdown: Countdown, book: Rulebook) -> Iterator[Line]:
    """What the countdown has for an hour, with what it was before any delay."""
    due = [line for line in countdown.lines if not _said_here(line.key, clocks)]
    plan = event_plan(event, clocks.first_times)
    rules = rules_for(book, event.tier, len(plan.rounds))
    was = {duty.key: duty.due for duty in dated(plan, rules, book) if duty.due is not None}
    return due_lines(due, was, clocks)


def _said_here(key: str, clocks: Clocks) -> bool:
    """The first signal of a shotgun is a usual item of the day, which may be kept otherwise."""
    return any(key == f"two_minutes/{round_.number}/1" for round_ in clocks.rounds if round_.shotgun)


def _with_kept(event: Event, day: date, items: Sequence[Item], kept: Sequence[RunItem]) -> list[Item]:
    """The usual items, those that were kept otherwise in their places, and the director's own."""
    by_key: Mapping[str, RunItem] = {item.key: item for item in kept if item.key}
    found = [item for item in items if not (item.usual and item.key in by_key)]
    return found + [_as_item(event, day, row) for row in kept if row.removed_at is None]


def _as_item(event: Event, day: date, row: RunItem) -> Item:
    number = row.round.number if row.round is not None and row.anchor in OF_A_ROUND else 0
    return Item(
        key=f"own-{row.pk}",
        label=row.label,
        lane=row.lane,
        anchor=(row.anchor, number),
        minutes=row.minutes,
        lasts=row.lasts,
        at=None if row.clock is None else event.at(day, row.clock).astimezone(UTC),
        owner=row.owner,
        place=row.place,
        pk=row.pk,
    )


def _weather(event: Event, day: date, book: Rulebook, now: datetime) -> Iterator[str]:
    """What the limits that are met ask for now: today only (4 queries)."""
    if event.local(now).date() == day and event.over_at is None:
        waits = weather_waits(event, book, now)
        if waits.met:
            yield f"A limit of the weather is met: {waits.met}"


def _on_day(event: Event, day: date, lines: Sequence[Line]) -> Iterator[Line]:
    """Of each line what touches the day, from its midnight to the small hours after it."""
    begin = event.at(day, time(0)).astimezone(UTC)
    end = event.at(day + timedelta(days=1), time(4)).astimezone(UTC)
    for line in lines:
        if (line.ends or line.starts) >= begin and line.starts < end:
            yield line


def _warnings(event: Event, clocks: Clocks, light: Daylight) -> Iterator[str]:
    """What of the day cannot go as it stands."""
    for number in clocks.not_played:
        yield f"Round {number} is not played: it was given up before anybody had started."
    for stop in clocks.stops:
        still = [each for each in clocks.rounds if each.starts and each.moments[0] > stop.since]
        if stop.goes_on is not None and still:
            first = event.local(still[0].moments[0])
            yield (
                f"Play has ended for this day, and round {still[0].number} is still set for {first:%H:%M}:"
                " change its pools under Draw."
            )
    before = None
    for round_ in clocks.rounds:
        if round_.span is None:
            continue
        first, last = event.local(round_.span.starts), event.local(round_.span.ends)
        if words := in_the_dark(light, first, last):
            yield f"Round {round_.number}: {words}"
        if before is not None and before.span is not None and first < event.local(before.span.ends):
            yield (
                f"Round {round_.number} starts {first:%H:%M}, while round {before.number} is expected to last until"
                f" {event.local(before.span.ends):%H:%M}."
            )
        before = round_
