"""What the course is told by the floors above it, which it must not import: `desk.urls` hands it in."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.course.models import Layout
from events.course.touching import PlayingGroup


@dataclass(frozen=True, slots=True)
class Above:
    """`groups_of(layout, now)`: the groups of published tee sheets that play the layout, and how far they are."""

    groups_of: Callable[[Layout, datetime], Sequence[PlayingGroup]]
