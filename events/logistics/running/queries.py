"""The run of one day: everything that happens, in order, with what it was before it was moved."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from events.draw.clock import sheet_due
from events.logistics.countdown.queries import Line as DueLine
from events.logistics.countdown.queries import countdown_of
from events.logistics.crew.duties import label_of
from events.logistics.crew.models import Need
from events.logistics.crew.queries import hours_of, shifts_between
from events.logistics.running.anchors import FIXED, OF_A_ROUND, ROUND_END, Played
from events.logistics.running.clocks import Clocks, Stopped, clocks_of
from events.logistics.running.laying import (
    DEADLINE,
    PEOPLE,
    PLAY,
    SUN,
    WEATHER,
    Item,
    Line,
    in_order,
    lay_out,
    moved_from,
)
from events.logistics.running.models import RunItem
from events.logistics.running.usual import play_of, usual_from, usual_items
from events.rulebook.loader import Rulebook
from events.safety.waiting import weather_waits
from events.setup.models import Event
from events.setup.queries import rulebook_for
from events.setup.sun import SunDay
from events.setup.sunlight import Daylight, daylight, in_the_dark

LENGTH_KEY = "practice.round_minutes_18_holes.to"
ONE_MINUTE = timedelta(minutes=1)
SAID_HERE = (
    "tee_sheet/",
    "two_minutes/",
)  # duties of the countdown that the run has itself, with what they were


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
    """Everything on a day of the event. 32 queries, whatever is on it; 4 more today, 3 more while play is suspended."""
    book = rulebook_for(event)
    clocks = clocks_of(event, day, now, book)
    kept = list(RunItem.objects.filter(event=event, day=day).select_related("round").order_by("pk"))
    light = daylight(event, [day])
    sun = light.on.get(day)
    items = [*_items(event, clocks, book, day), *_sheets_due(clocks, book)]
    every = _with_kept(event, day, items, kept)
    laid = lay_out(
        every,
        planned=clocks.planned,
        found=clocks.found,
        delays=clocks.delays,
    )
    due = [line for line in countdown_of(event, now).lines if not line.keys[0].startswith(SAID_HERE)]
    lines = [
        *laid,
        *_sun_lines(sun),
        *_stop_lines(clocks, now),
        *_due_lines(due),
        *_shift_lines(event, clocks, now),
    ]
    return Run(
        day=day,
        lines=tuple(in_order(_on_day(event, day, lines))),
        items={item.key: item for item in every if item.usual or item.pk is not None},
        clocks=clocks,
        sun=sun,
        no_sun=light.missing,
        warnings=(*_weather(event, day, book, now), *_warnings(event, clocks, light)),
        all_day=tuple(line.what for line in due if line.due == day and line.open),
        removed=tuple(item for item in kept if item.removed_at is not None),
        length_minutes=book.int(LENGTH_KEY),
    )


def _items(event: Event, clocks: Clocks, book: Rulebook, day: date) -> Iterator[Item]:
    minutes = book.int(LENGTH_KEY)
    length = f"taken to last {minutes // 60}:{minutes % 60:02} after the last start"
    yield from play_of(
        clocks.rounds,
        card_minutes=book.int("card.return_minutes"),
        card_rule=book.value("card.return_minutes").source,
        length=length,
    )
    yield from usual_items(
        usual_from(book.rows("practice.run_of_the_day")),
        clocks.rounds,
        last_day=day == event.ends_on,
        signal_minutes=book.int("start.two_minute_seconds") // 60,
    )


def _sheets_due(clocks: Clocks, book: Rulebook) -> Iterator[Item]:
    """Until when tee times must be known (1.06.K), by the expected end of the round before; a shotgun asks for none."""
    source = book.value("publish.minutes_after_previous_round").source
    after = timedelta(minutes=book.int("publish.minutes_after_previous_round"))
    before: Played | None = None
    for round_ in (*clocks.rounds, *clocks.later[:1]):
        due = _due(round_, before, book)
        if due is not None:
            key, label = f"sheet-{round_.number}", f"Round {round_.number}, tee sheet out"
            ends = None if before is None or before.span is None else before.span.ends
            if before is not None and ends is not None and due == ends + after:
                yield Item(
                    key, label, DEADLINE, (ROUND_END, before.number), after // ONE_MINUTE, assumed=source
                )
            else:
                yield Item(key, label, DEADLINE, (FIXED, 0), at=due, assumed=source)
        before = round_


def _due(round_: Played, before: Played | None, book: Rulebook) -> datetime | None:
    if round_.shotgun or not round_.starts:
        return None
    ended = None if before is None or before.span is None else {"": before.span.ends}
    due = sheet_due(
        {"": min(round_.starts)},
        ended,
        hours=book.int("publish.hours_before_first_tee_time"),
        minutes=book.int("publish.minutes_after_previous_round"),
    )
    return None if due is None else due.at


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


def _sun_lines(sun: SunDay | None) -> Iterator[Line]:
    """Sunrise, sunset and twilight: nothing moves them."""
    if sun is None:
        return
    named = (
        ("first light", sun.civil.start),
        ("sunrise", sun.light.start),
        ("sunset", sun.light.end),
        ("dark", sun.civil.end),
    )
    for name, moment in named:
        if moment is not None:
            yield Line(name, name.capitalize(), SUN, moment.astimezone(UTC), None, assumed="computed")


def _stop_lines(clocks: Clocks, now: datetime) -> Iterator[Line]:
    for index, stop in enumerate(clocks.stops):
        label = f"Play stopped: {stop.cause}{_still(stop)}"
        yield Line(f"stop-{index}", label, WEATHER, stop.since, stop.until, danger=True)
    for round_ in clocks.rounds:
        if round_.begins is not None and round_.span is not None:
            label = f"Round {round_.number} goes on"
            yield Line(f"goes-on-{round_.number}", label, PLAY, round_.span.starts, round_.span.ends)


def _still(stop: Stopped) -> str:
    return ", and still is; the restart is as things stand" if stop.lasts else ""


def _due_lines(due: Sequence[DueLine]) -> Iterator[Line]:
    """The duties and tasks of the countdown that have an hour; the day of a line is looked at afterwards."""
    for line in due:
        if isinstance(line.due, datetime) and not line.over:
            what = f"{line.what} ({line.of})" if line.of else line.what
            said = "" if line.open else f", {line.said}"
            yield Line(
                f"due-{line.key}",
                what,
                DEADLINE,
                line.due.astimezone(UTC),
                None,
                owner=line.owner,
                assumed=f"{line.citation}{said}",
                needs=line.late,
            )


def _weather(event: Event, day: date, book: Rulebook, now: datetime) -> Iterator[str]:
    """What the limits that are met ask for now: today only (4 queries)."""
    if event.local(now).date() == day and event.over_at is None:
        waits = weather_waits(event, book, now)
        if waits.met:
            yield f"A limit of the weather is met: {waits.met}"


def _shift_lines(event: Event, clocks: Clocks, now: datetime) -> Iterator[Line]:
    """The shifts of the day, those of one duty at the same hours as one line; who is missing needs somebody."""
    begin = event.at(clocks.day, time(0))
    end = event.at(clocks.day + timedelta(days=1), time(0))
    needs = Need.objects.filter(event=event, dropped_at__isnull=True).in_bulk()
    together: dict[tuple[str, datetime, datetime], list[tuple[str, str, int, Line]]] = {}
    for shift in shifts_between(event, begin, end, now):
        if shift.span is None:
            continue
        need = needs.get(shift.id)
        was = None if need is None else hours_of(need, clocks.first_times)
        line = Line(f"shift-{shift.id}", "", PEOPLE, shift.span.starts, shift.span.ends)
        line = moved_from(line, was.starts, was.ends) if was is not None else line
        names = ", ".join(shift.names)
        together.setdefault((shift.duty, shift.span.starts, shift.span.ends), []).append(
            (shift.place, names, shift.missing, line)
        )
    for (duty, _, _), members in together.items():
        yield _shift_line(label_of(duty), members)


def _shift_line(duty: str, members: Sequence[tuple[str, str, int, Line]]) -> Line:
    missing = sum(each[2] for each in members)
    alone = len(members) == 1
    who = members[0][1] or "nobody" if alone else _by_place(members)
    return replace(
        members[0][3],
        label=duty.capitalize() + ("" if alone else f" ×{len(members)}"),
        owner=who,
        place=members[0][0] if alone else "",
        assumed=f"{missing} missing" if missing else "",
        needs=missing > 0,
    )


def _by_place(members: Sequence[tuple[str, str, int, Line]]) -> str:
    return "; ".join(f"{place}: {names or 'nobody'}" for place, names, _, _ in members)


def _on_day(event: Event, day: date, lines: Sequence[Line]) -> Iterator[Line]:
    """Of each line what touches the day, from its midnight to the small hours after it."""
    begin = event.at(day, time(0)).astimezone(UTC)
    end = event.at(day + timedelta(days=1), time(4)).astimezone(UTC)
    for line in lines:
        if (line.ends or line.starts) >= begin and line.starts < end:
            yield line


def _warnings(event: Event, clocks: Clocks, light: Daylight) -> Iterator[str]:
    """What of the day cannot go as it stands."""
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
