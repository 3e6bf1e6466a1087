"""Lines of the day page: what one is, and those of a stop and of the weather."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from events.rulebook.loader import Rulebook
from events.safety.stop_waiting import stop_waits
from events.safety.waiting import weather_waits
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that waits for somebody, with the place where it is done."""

    text: str
    url: str
    needs: bool = True
    when: str = ""
    until: datetime | None = None


def stop_lines(event: Event, rulebook: Rulebook, now: datetime) -> Iterator[Line]:
    """Play that is suspended stands before everything else."""
    waits = stop_waits(event, rulebook, now) if event.over_at is None else None
    if waits is not None:
        page = reverse("suspension:completion" if waits.choice else "suspension:page", args=[event.slug])
        when = f"restart {event.local(waits.until):%H:%M}" if waits.until else ""
        yield Line(waits.text, page, when=when, until=waits.until)


def weather_lines(event: Event, rulebook: Rulebook, now: datetime, *, playing: bool) -> Iterator[Line]:
    """A limit that is met, and during play a reading that is old."""
    if event.over_at is not None:
        return
    waits = weather_waits(event, rulebook, now)
    desk = reverse("safety:weather", args=[event.slug])
    if waits.met:
        yield Line(
            f"{'Lightning' if waits.lightning else 'Weather'}, trigger met: {waits.met}",
            desk,
            needs=waits.urgent,
        )
    if waits.old and playing:
        yield Line(f"Old weather reading, read it again: {waits.old}", desk)
