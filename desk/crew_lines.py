"""Lines of the day page about the roster: places that are free soon, and who is booked twice. No names: everybody reads
the day page."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse

from desk.above_the_crew import out_of
from desk.safety_lines import Line
from events.logistics.crew.models import Need
from events.logistics.crew.roster import roster_of
from events.setup.models import Event

SOON = timedelta(hours=24)


def crew_lines(event: Event, now: datetime) -> Iterator[Line]:
    """Of shifts that are stood now or begin within a day (1 query without shifts, else 19)."""
    here = Need.objects.filter(event=event, dropped_at__isnull=True)
    if event.over_at is not None or not here.exists():
        return
    roster, page = roster_of(event, now, out_of=out_of), reverse("crew:overview", args=[event.slug])
    soon = {
        shift.id: shift
        for shift in roster.shifts
        if shift.span is not None and shift.span.ends > now and shift.span.starts < now + SOON
    }
    free = sum(shift.missing for shift in soon.values())
    if free:
        first = min(shift.span.starts for shift in soon.values() if shift.missing and shift.span)
        places = "1 place of the roster is free" if free == 1 else f"{free} places of the roster are free"
        since = "now" if first <= now else f"from {event.local(first):%a %H:%M}"
        yield Line(places, f"{page}?show=free", when=since)
    twice = {each.person_id for each in roster.cautions if each.double and soon.keys() & set(each.task_ids)}
    if twice:
        who = "1 helper is" if len(twice) == 1 else f"{len(twice)} helpers are"
        yield Line(f"{who} booked twice", f"{page}?show=all")
