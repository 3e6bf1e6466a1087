"""The line of the day page about the payout that is to hang before the last round begins."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.urls import reverse

from desk.safety_lines import Line
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round
from scoring.prizes.queries import posting_warning

AHEAD = timedelta(hours=24)  # from a day before the last round it needs somebody; the product's own choice


def prize_lines(event: Event, rounds: Sequence[Round], rulebook: Rulebook, now: datetime) -> Iterator[Line]:
    """Said from a day before the last round until the event is over (2 queries, before that none)."""
    if event.over_at is not None or not rounds or now < rounds[-1].first_start_at - AHEAD:
        return
    warning = posting_warning(event, rulebook, now)
    if warning:
        yield Line(warning.rstrip("."), reverse("prizes:overview", args=[event.slug]))
