"""What the draw is told by the floors above it, which it must not import: `desk.urls` hands it in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest

from events.draw.queries import Totals
from events.setup.models import Round


@dataclass(frozen=True, slots=True)
class Above:
    """`totals_before(round)`: entry id -> throws of each earlier round, oldest first, None without a card.
    `group_path(round, number)`: the path of a group's page, for the QR code of its card.
    `reachable(request, path)`: the whole address of a path as a phone on the network reaches it.
    `ended(round)`: division code -> when its last group finished the round, None while one is on the course.
    """

    totals_before: Callable[[Round], Totals]
    group_path: Callable[[Round, int], str]
    reachable: Callable[[HttpRequest, str], str]
    ended: Callable[[Round], Mapping[str, datetime | None]]
