"""Lines of the day page about the run of the day: rounds that run into each other."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Protocol

from django.urls import reverse

from desk.safety_lines import Line
from events.setup.models import Event, Round

SOON = timedelta(hours=24)


class Stands(Protocol):
    """What the day page knows of a round. `starts`: of its first and of its last group."""

    round: Round
    starts: tuple[datetime, datetime]

    @property
    def ends(self) -> datetime: ...

    @property
    def done(self) -> bool: ...


def running_lines(event: Event, rounds: Sequence[Stands], now: datetime) -> Iterator[Line]:
    """From a day before, a round that would start while the one before is still expected to last (no query)."""
    if event.over_at is not None:
        return
    for before, after in pairwise(rounds):
        if before.done or after.starts[0] > now + SOON:
            continue
        ends, starts = event.local(before.ends), event.local(after.starts[0])
        if starts < ends:
            yield Line(
                f"Round {after.round.number} starts {starts:%H:%M}, round {before.round.number} may last until"
                f" {ends:%H:%M}",
                f"{reverse('running:overview', args=[event.slug])}?day={starts:%Y-%m-%d}",
            )
