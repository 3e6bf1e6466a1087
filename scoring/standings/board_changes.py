"""Which divisions the acts since a moment of the log can have changed, so that a board works out those alone."""

from collections.abc import Iterable
from enum import StrEnum
from typing import Any

from events.draw.models import Seat, Sheet
from events.log.models import Act

MOST_ACTS = 400  # more have been written while nobody looked: reading everything is no dearer


class Reach(StrEnum):
    """What an act can change of the standings."""

    NOTHING = "nothing"  # beside them: notices, stops and starts, which hang there, are read anew each time
    GROUP = "the divisions of one group"  # which its detail names by round and group
    ANYTHING = "anything"


# Every act that is logged has its reach here, by the part of its name before the dot or, where acts of one part differ,
# by its whole name. A test holds that none is left out.
_NOTHING = (
    # setup, entries, course: money and packs, not who is entered or what is played
    *("staff", "addon", "payment", "checkin", "pack", "conduct", "guardian", "hole", "hazard"),
    # discs
    *("bag", "disc", "scale", "list", "model", "spot", "call"),
    # the draw until it is published, and planned starts
    *("draw.made", "draw.edited", "draw.undone", "draw.accepted", "starts", "day"),
    # weather, stops, notices
    *("reading", "lightning", "thresholds", "notice", "emergency", "assignment"),
    *("play.suspended", "play.position", "play.horn", "play.restart_named", "play.resumed", "play.ended"),
    # logistics
    *(
        "thing",
        "things",
        "helper",
        "shift",
        "incident",
        "run",
        "ready",
        "duty",
        "task",
        "countdown",
        "message",
    ),
    # what is kept beside a card; a warning that is throws is a ruling as well
    *("group", "photo", "confirmation", "scores.confirmed", "warning"),
    # rooms above the standings
    *("rating", "prizes", "prize", "game", "raffle", "award", "money", "box", "report", "event.archived"),
)
_GROUP = ("card", "holes", "radio")
_ANYTHING = (
    *(
        "event.created",
        "event.changed",
        "event.moved",
        "event.closed",
        "event.opened",
        "rule",
        "division",
        "round",
        "layout",
    ),
    *("entries", "entry", "draw.published", "play.completion", "scores.imported", "ruling", "cut", "playoff"),
)
REACH = {
    **dict.fromkeys(_NOTHING, Reach.NOTHING),
    **dict.fromkeys(_GROUP, Reach.GROUP),
    **dict.fromkeys(_ANYTHING, Reach.ANYTHING),
}


def reach_of(action: str) -> Reach:
    """An act that is not decided may have changed anything: it makes the board slower, never wrong."""
    return REACH.get(action) or REACH.get(action.split(".", maxsplit=1)[0], Reach.ANYTHING)


def divisions_changed(slug: str, *, since: int, head: str, until: int) -> frozenset[str] | None:
    """Codes of the divisions that acts number `since` + 1 to `until` can have changed; None: it may be any (1 query,
    1 more when cards are among them). `head` is the hash of act `since`: another copy of the data has another."""
    if not 0 <= until - since <= MOST_ACTS:
        return None
    acts = Act.objects.filter(chain_id=slug, number__gte=since, number__lte=until).order_by("number")
    rows = list(acts.values_list("hash", "action", "detail"))
    if not rows or rows[0][0] != head:
        return None
    groups: set[tuple[int, int]] = set()
    for _, action, detail in rows[1:]:
        reach = reach_of(action)
        if reach is Reach.NOTHING:
            continue
        group = _group_of(detail) if reach is Reach.GROUP else None
        if group is None:
            return None
        groups.add(group)
    return _divisions_of(slug, groups) if groups else frozenset()


def _group_of(detail: dict[str, Any]) -> tuple[int, int] | None:
    found = detail.get("round"), detail.get("group")
    return found if all(type(each) is int for each in found) else None  # type: ignore[return-value]


def _divisions_of(slug: str, groups: Iterable[tuple[int, int]]) -> frozenset[str] | None:
    """Of everybody who is or was in the groups: a phone that was away may name somebody who was moved meanwhile. None:
    a group is on no sheet, so nobody knows who is on its card."""
    wanted = set(groups)
    seats = Seat.objects.filter(
        sheet__round__event__slug=slug,
        sheet__state__in=[Sheet.State.PUBLISHED, Sheet.State.SUPERSEDED],
        group__number__in={number for _, number in wanted},
    ).values_list("sheet__round__number", "group__number", "entry__division__code")
    codes: dict[tuple[int, int], set[str]] = {}
    for round_number, number, code in seats:
        codes.setdefault((round_number, number), set()).add(code)
    if not wanted <= codes.keys():
        return None
    return frozenset(code for group in wanted for code in codes[group])
