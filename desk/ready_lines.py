"""Lines of the day page about the course: what is not made ready yet. It holds nothing up."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.urls import reverse

from desk.safety_lines import Line
from events.logistics.ready.queries import waiting_of
from events.setup.models import Event, Round

AHEAD = timedelta(days=3)  # several days early, and no earlier on the page of the day


def ready_lines(event: Event, rounds: Sequence[Round], now: datetime) -> Iterator[Line]:
    """From three days before the first round on (4 queries then, else none)."""
    starts = [round.first_start_at for round in rounds]
    if event.over_at is not None or not starts or now < min(starts) - AHEAD:
        return
    waits = waiting_of(event)
    if waits is None:
        return
    work = "piece of work is" if waits.open_work == 1 else "pieces of work are"
    holes = "1 hole" if waits.holes == 1 else f"{waits.holes} holes"
    url = reverse("ready:overview", args=[event.slug])
    if waits.begun:
        yield Line(f"Course: {waits.open_work} {work} open on {holes}", url)
    else:
        yield Line(f"Course: nobody has walked it yet, {holes} to make ready", url, needs=False)
