"""Lines of the day page about lost and found."""

from collections.abc import Iterator

from django.urls import reverse

from desk.safety_lines import Line
from events.logistics.queries import taken_waiting
from events.setup.models import Event


def found_lines(event: Event) -> Iterator[Line]:
    """A lost disc that had been taken: the card room puts it right before the event is over (1 query)."""
    if event.over_at is None:
        page = reverse("logistics:found", args=[event.slug])
        yield from (Line(taken.text, page) for taken in taken_waiting(event))
