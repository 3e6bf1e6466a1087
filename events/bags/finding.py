"""Finding an entrant from bags: a scanned slip, a code, a member number or letters of the name."""

from events.bags.links import scanned_code
from events.entries.finding import find
from events.entries.models import Entry
from events.setup.models import Event
from events.setup.queries import rulebook_for


def entry_of(event: Event, pk: int | None) -> Entry | None:
    """The entry of this event with its person, division and event (1 query)."""
    return Entry.objects.filter(event=event, pk=pk or 0).select_related("person", "division", "event").first()


def found_entries(event: Event, text: str) -> list[Entry]:
    """Who is meant, the likeliest first; a scanned slip is one entrant (5 queries at most)."""
    code = scanned_code(text)
    if code is not None:
        return list(
            Entry.objects.filter(event=event, code=code).select_related("person", "division", "event")
        )
    return [row.entry for row in find(event, text[:100], rulebook_for(event)).rows]
