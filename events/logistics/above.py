"""What lost and found is told by the floors above it, which it must not import: `desk.urls` hands it in."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.entries.models import Entry
from events.logistics.taken import GivenBack
from events.setup.models import Event, Round

GivenBacks = Callable[[Event], Sequence[GivenBack]]


@dataclass(frozen=True, slots=True)
class Above:
    """`given_back(event)`: the rulings that took throws of a lost disc off and stand (1 query).
    `ruling_page(round, entry, hole)`: the address where such a ruling is written, with everything chosen already."""

    given_back: GivenBacks
    ruling_page: Callable[[Round, Entry, str], str]
