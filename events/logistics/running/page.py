"""What the page of a day shows: its lines in words of the venue's clock, what comes next, what was moved."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.urls import reverse

from events.course.round_length import MINUTES_KEY
from events.draw.models import Delay
from events.logistics.running.clocks import days_of
from events.logistics.running.drawing import Drawing, Light, draw
from events.logistics.running.laying import LANES, Line
from events.logistics.running.prints import DayPaper, hours_of, was_hours
from events.logistics.running.queries import Run, run_of
from events.setup.models import Event
from events.setup.sun import SunDay

ALWAYS_BELOW = "always below"


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A row of the list. `state`: "past", "now" or "" for what is to come. `change`: where it is kept otherwise."""

    line: Line
    start: str
    hours: str
    was: str
    lane: str
    state: str
    change: str
    key: str


@dataclass(frozen=True, slots=True)
class DayTab:
    label: str
    url: str
    current: bool


@dataclass(frozen=True, slots=True)
class ShownDelay:
    """A delay of the day in words. `undo` "": it cannot be taken back here."""

    text: str
    undo: str


@dataclass(frozen=True, slots=True)
class DayPage:
    run: Run
    title: str
    days: tuple[DayTab, ...]
    rows: tuple[ShownLine, ...]
    drawing: Drawing | None
    next: ShownLine | None
    delays: tuple[ShownDelay, ...]
    length: str
    length_url: str
    on: bool  # this is the venue's today


def day_page(event: Event, asked: str, now: datetime, *, may_write: bool, may_delay: bool) -> DayPage:
    """The page of a day; `asked` is a date as 2026-06-12, anything else is today or the next day of the event."""
    days = days_of(event)
    day = _chosen(days, asked, event.local(now).date())
    run = run_of(event, day, now)
    rows = tuple(_row(event, run, line, now, may_write=may_write) for line in run.lines)
    coming = run.next_after(now)
    return DayPage(
        run=run,
        title=f"{day:%A} {day.day} {day:%B}",
        days=tuple(
            DayTab(f"{each:%a} {each.day} {each:%b}", address(event, each), each == day) for each in days
        ),
        rows=rows,
        drawing=drawing_of(event, run, now),
        next=next((row for row in rows if row.line is coming), None),
        delays=tuple(_delays(event, run, now, may_delay=may_delay)),
        length=f"{run.length_minutes // 60}:{run.length_minutes % 60:02}",
        length_url=reverse("rule", args=[event.slug, MINUTES_KEY]),
        on=event.local(now).date() == day,
    )


def day_paper(event: Event, asked: str, now: datetime) -> DayPaper:
    """The same for the printer, without the hand of the clock."""
    day = _chosen(days_of(event), asked, event.local(now).date())
    run = run_of(event, day, now)
    length = f"{run.length_minutes // 60}:{run.length_minutes % 60:02}"
    assumed = (
        f"For staff. 18 holes are taken to last {length} after the last start, other layouts by their holes; shifts as"
        " the roster has them."
    )
    before = min((line.starts for line in run.lines), default=now) - timedelta(days=1)
    return DayPaper(
        title=f"{day:%A} {day.day} {day:%B}",
        sub=assumed,
        lines=run.lines,
        drawing=drawing_of(event, run, before),
        warnings=(*run.warnings, *(f"Due on the day: {what}." for what in run.all_day), run.no_sun),
    )


def address(event: Event, day: date) -> str:
    return f"{reverse('running:overview', args=[event.slug])}?day={day:%Y-%m-%d}"


def drawing_of(event: Event, run: Run, now: datetime) -> Drawing | None:
    return draw(run.lines, light=_light(run.sun), now=now, local=event.local)


def _light(sun: SunDay | None) -> Light:
    if sun is None:
        return Light()
    return Light(
        dawn=sun.civil.start,
        rise=sun.light.start,
        sets=sun.light.end,
        dusk=sun.civil.end,
        dark=sun.light.state == ALWAYS_BELOW,
    )


def _chosen(days: Sequence[date], asked: str, today: date) -> date:
    try:
        wanted = date.fromisoformat(asked)
    except ValueError:
        wanted = today
    if wanted in days:
        return wanted
    return next((day for day in days if day >= today), days[-1])


def _row(event: Event, run: Run, line: Line, now: datetime, *, may_write: bool) -> ShownLine:
    state = "past" if line.past(now) else "now" if line.starts <= now else ""
    kept = may_write and line.key in run.items and event.over_at is None
    return ShownLine(
        line=line,
        start=f"{event.local(line.starts):%H:%M}",
        hours=hours_of(line, event.local),
        was=was_hours(line, event.local),
        lane=LANES[line.lane],
        state=state,
        change=f"{address(event, run.day)}&change={line.key}#item" if kept else "",
        key=line.key,
    )


def _delays(event: Event, run: Run, now: datetime, *, may_delay: bool) -> list[ShownDelay]:
    typed: Sequence[Delay] = run.clocks.typed
    newest = max((row.pk for row in typed), default=None)
    found = []
    for row in typed:
        free = may_delay and row.pk == newest and row.until > now and event.over_at is None
        undo = reverse("running:undo_delay", args=[event.slug, row.pk]) if free else ""
        since = event.local(row.since)
        found.append(ShownDelay(f"From {since:%H:%M} {row.minutes} minutes later: {row.reason}", undo))
    for stop in run.clocks.stops:
        hours = f"{event.local(stop.since):%H:%M}–{event.local(stop.until):%H:%M}"
        lasts = ", as things stand" if stop.lasts else "; the round is not finished" if stop.given_up else ""
        found.append(ShownDelay(f"Play stopped {hours}{lasts}: {stop.cause}", ""))
    return found
