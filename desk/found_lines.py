"""Lines of the day page about lost and found."""

from collections.abc import Iterator

from django.urls import reverse

from desk.safety_lines import Line
from events.logistics.queries import taken_waiting
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from scoring.penalties.lost_discs import given_back


def found_lines(event: Event, rulebook: Rulebook) -> Iterator[Line]:
    """A lost disc that had been taken: the card room puts it right before the event is over (1 query, 3 with
    such a disc)."""
    if event.over_at is None:
        page = reverse("logistics:found", args=[event.slug])
        yield from (Line(taken.text, page) for taken in taken_waiting(event, rulebook, given_back))
