"""The countdown as a calendar (RFC 5545): every open date, and the start of every round."""

from collections.abc import Iterator
from datetime import UTC, datetime

from events.calendars import Start, calendar
from events.log.models import Act
from events.logistics.countdown.models import CalendarFeed
from events.logistics.countdown.planned import EventPlan, Moment
from events.logistics.countdown.queries import Line, countdown_of
from events.setup.models import Event


def calendar_of(feed: CalendarFeed, now: datetime) -> str:
    """The file for a calendar program (14 queries). What is done or not needed is not in it any more.

    Every version of an entry carries the number of the last act of the log, so that a program knows the newer one.
    """
    event = feed.event
    countdown = countdown_of(event, now)
    last = Act.objects.filter(chain_id=event.slug).order_by("-number").values_list("number", "at").first()
    number, stamp = last or (0, datetime(2000, 1, 1, tzinfo=UTC))
    starts = [
        _line(event, line, number, stamp)
        for line in countdown.lines
        if line.open and line.due is not None and feed.owner in ("", line.owner)
    ]
    name = f"{event.name}: countdown{f', {feed.owner}' if feed.owner else ''}"
    return calendar(name, [*starts, *_days(event, countdown.plan, number, stamp)])


def _line(event: Event, line: Line, number: int, stamp: datetime) -> Start:
    assert line.due is not None
    facts = [f"{line.owner}, {line.force}"]
    facts += [f"Only if {line.when}."] if line.when else []
    facts += [line.slips] if line.slips else []
    facts += [line.citation] if line.citation else []
    summary = f"{line.what} ({line.of})" if line.of else line.what
    return _start(event, line.key, line.due, summary, "\n".join(facts), number, stamp)


def _days(event: Event, plan: EventPlan, number: int, stamp: datetime) -> Iterator[Start]:
    """The event itself, so that the calendar is never without an entry, and its rounds."""
    yield _start(event, "event", plan.first_day, event.name, "", number, stamp)
    for round_ in plan.rounds:
        summary = f"{event.name}: round {round_.number} starts"
        yield _start(event, f"round-{round_.number}", round_.first, summary, "", number, stamp)


def _start(
    event: Event, key: str, when: Moment, summary: str, description: str, number: int, stamp: datetime
) -> Start:
    return Start(
        uid=f"{event.slug}-countdown-{key.replace('/', '-')}@starthorn.invalid",
        sequence=number,
        stamp=stamp,
        when=when,
        summary=summary,
        location=", ".join(part for part in (event.venue, event.place) if part),
        description=description,
    )
