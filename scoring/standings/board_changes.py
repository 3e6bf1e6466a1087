"""Which divisions the acts since a moment of the log can have changed, so that a board works out those alone.

An act that is not known here may have changed anything: a new kind of act makes the board slower, never wrong.
"""

from collections.abc import Iterable
from typing import Any

from events.draw.models import Seat, Sheet
from events.log.models import Act

MOST_ACTS = 400  # more have been written while nobody looked: reading everything is no dearer

# Acts that no figure of the standings rests on. What hangs beside them (notices, stops, starts) is read anew each time.
_BESIDE = frozenset(
    {
        *("payment", "checkin", "pack", "conduct", "guardian", "assignment", "staff", "report", "hole"),
        *("bag", "disc", "scale", "list", "model", "spot", "call", "group", "photo", "confirmation"),
        *("reading", "lightning", "thresholds", "notice", "hazard", "emergency"),
    }
)
_BESIDE_ACTS = frozenset(
    {
        *("play.suspended", "play.position", "play.horn", "play.restart_named", "play.resumed", "play.ended"),
        *("scores.confirmed", "draw.made", "draw.edited", "draw.undone", "draw.accepted"),
    }
)
# Acts on the card of one group, which say round and group in their detail.
_OF_A_GROUP = frozenset(("card", "holes", "radio"))


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
        if action.split(".")[0] in _BESIDE or action in _BESIDE_ACTS:
            continue
        group = _group_of(action, detail)
        if group is None:
            return None
        groups.add(group)
    return _divisions_of(slug, groups) if groups else frozenset()


def _group_of(action: str, detail: dict[str, Any]) -> tuple[int, int] | None:
    if action.split(".", maxsplit=1)[0] not in _OF_A_GROUP:
        return None
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
