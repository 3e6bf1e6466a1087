"""Lines of the day page about entries and check-in."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

from desk.safety_lines import Line
from events.entries.caps import next_from_waitlist
from events.entries.facts import applicants_of, caps_of
from events.entries.queries import DeskCounts
from events.rulebook.loader import Rulebook
from events.setup.figures import money_text
from events.setup.models import Event


def entry_lines(event: Event, counts: DeskCounts, rulebook: Rulebook, now: datetime) -> Iterator[Line]:
    desk = reverse("entries:desk", args=[event.slug])
    if counts.expected == 0 and counts.applied == 0:
        yield Line("Nobody is entered yet: bring in the list", desk)
    if counts.owed_cents:
        owed = money_text(counts.owed_cents, event.currency)
        yield Line(f"{counts.owing} still owe {owed}", desk, needs=False)
    if counts.waitlist and next_from_waitlist(applicants_of(event, rulebook), caps_of(event)) is not None:
        yield Line("A place is free for the waitlist", reverse("entries:waitlist", args=[event.slug]))


def check_in_lines(event: Event, counts: DeskCounts, now: datetime) -> Iterator[Line]:
    opens, closes = event.checkin_opens_at, event.checkin_closes_at
    out = counts.expected - counts.checked_in
    if closes is None or out == 0 or (opens is not None and now < opens):
        return
    text = f"{out} of {counts.expected} not checked in"
    desk = reverse("entries:desk", args=[event.slug])
    if now < closes:
        yield Line(text, desk, when=f"closes {event.local(closes):%H:%M}", until=closes)
    else:
        yield Line(f"{text}, and check-in is closed", desk, when=f"closed {event.local(closes):%H:%M}")
