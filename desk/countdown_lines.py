"""The line of the day page about the countdown."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

from desk.safety_lines import Line
from events.logistics.countdown.queries import late_now
from events.rulebook.loader import Rulebook
from events.setup.models import Event


def countdown_lines(event: Event, rulebook: Rulebook, now: datetime) -> Iterator[Line]:
    """What is late on a countdown that somebody keeps: the one thing by name, several by their number."""
    late = late_now(event, rulebook, now)
    if late:
        words = late[0].what if len(late) == 1 else f"{len(late)} things, since {late[0].due_short}"
        yield Line(f"Late on the countdown: {words}", reverse("countdown:overview", args=[event.slug]))
