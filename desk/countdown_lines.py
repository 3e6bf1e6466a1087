"""The lines of the day page about the countdown."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.urls import reverse

from desk.safety_lines import Line
from events.logistics.countdown.queries import Line as Due
from events.logistics.countdown.queries import pressing
from events.rulebook.loader import Rulebook
from events.setup.models import Event


def countdown_lines(event: Event, rulebook: Rulebook, now: datetime) -> Iterator[Line]:
    """What is late and what is due today: the one thing by name, several by their number."""
    late, today = pressing(event, rulebook, now)
    page = reverse("countdown:overview", args=[event.slug])
    if late:
        since = f", since {late[0].due_short}" if len(late) > 1 else ""
        yield Line(f"Late on the countdown: {_named(late)}{since}", page)
    if today:
        yield Line(f"Due today on the countdown: {_named(today)}", page)


def _named(lines: Sequence[Due]) -> str:
    return lines[0].what if len(lines) == 1 else f"{len(lines)} things"
