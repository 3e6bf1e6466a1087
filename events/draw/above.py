"""What the draw is told by the floors above it, which it must not import: `desk.urls` hands it in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest

from events.draw.field import Totals
from events.setup.models import Round

Out = tuple[Mapping[int, str], tuple[str, ...]]


def nobody_out(round: Round) -> Out:
    return {}, ()


@dataclass(frozen=True, slots=True)
class Above:
    """`totals_before(round)`: entry id -> throws of each earlier round, oldest first, None without a card.
    `group_paths(round)`: group number -> the path of its page, for the QR codes of the cards.
    `reachable(request, path)`: the whole address of a path as a phone on the network reaches it.
    `ended(round)`: division code -> when its last group finished the round, None while one is on the course.
    `out_before(round)`: entry id -> why somebody does not play on ("missed the cut"), and what is not decided yet.
    """

    totals_before: Callable[[Round], Totals]
    group_paths: Callable[[Round], Callable[[int], str]]
    reachable: Callable[[HttpRequest, str], str]
    ended: Callable[[Round], Mapping[str, datetime | None]]
    out_before: Callable[[Round], Out] = nobody_out
