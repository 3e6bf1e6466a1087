"""Places groups on starts: a shotgun over all layouts in play, or tee times from one or more holes.

Competition Manual 2025, 1.06.E (best group on the lowest-numbered hole, or last with tee times) and 1.06.I
(a second group on a hole only as an emergency measure). Groups come in order, best or first one first.
Minutes count from the first start; the caller turns them into times of day.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from events.draw.conflicts import Conflict, Placed, conflicts
from events.draw.spreading import Spread, TeePosition, spread

__all__ = [
    "Capacity",
    "Conflict",
    "Placed",
    "Start",
    "TeePosition",
    "TooManyGroups",
    "UnknownStart",
    "capacity",
    "conflicts",
    "place_shotgun",
    "place_tee_times",
    "start_minutes",
    "tee_time_capacity",
]


@dataclass(frozen=True, slots=True)
class Start:
    """Where and when a group starts; `second` marks the second group on a hole, which tees off second."""

    group_index: int
    layout: int | None
    position: int
    minute_offset: int
    second: bool
    label: str
    tee: int


@dataclass(frozen=True, slots=True)
class Capacity:
    """How many groups, and how many players in groups of the size asked about, can start."""

    groups: int
    players: int


class TooManyGroups(ValueError):
    """More groups than free tees, and no leave to use second groups (or not even those suffice)."""

    def __init__(self, groups: int, places: int, *, second_allowed: bool) -> None:
        self.groups, self.places = groups, places
        how = "even with a second group on each hole" if second_allowed else "one group on each physical tee"
        super().__init__(f"{groups} groups, but only {places} can start, {how}.")


class UnknownStart(ValueError):
    """A group's layout, or a starting position of it, has no tee."""


def place_shotgun(
    layouts: Sequence[int | None],
    tees: Sequence[TeePosition],
    *,
    taken: Collection[int] = (),
    second_allowed: bool = False,
) -> tuple[Start, ...]:
    """Put each group on a tee; `layouts` holds the layout of each group, in order.

    No two groups stand on one physical tee; `taken` holds the tees that other pools stand on at that time.
    With fewer groups than holes the empty holes are spread around the loop. The groups of a layout take its
    holes in order, the best on the lowest. With `second_allowed` the last groups go second on holes of their
    layout, by preference a short hole after a long one (1.06.I). Raises TooManyGroups, UnknownStart.
    """
    loops = _loops(layouts, tees)
    chosen = spread(Counter(layouts), loops, taken)
    seated = sum(len(used) for used in chosen.used.values())
    left = sum(chosen.left_over.values())
    ghosts = sum(min(chosen.left_over[layout], len(used)) for layout, used in chosen.used.items())
    if left and (not second_allowed or ghosts < left):
        places = seated + ghosts if second_allowed else seated
        raise TooManyGroups(len(layouts), places, second_allowed=second_allowed)
    return _shotgun_starts(layouts, loops, chosen)


def _loops(layouts: Sequence[int | None], tees: Sequence[TeePosition]) -> dict[int | None, list[TeePosition]]:
    found: defaultdict[int | None, list[TeePosition]] = defaultdict(list)
    for tee in sorted(tees, key=lambda tee: tee.position):
        found[tee.layout].append(tee)
    for layout in layouts:
        if layout not in found:
            raise UnknownStart(f"No tees are known for layout {layout}.")
    return {layout: found[layout] for layout in dict.fromkeys(layouts)}


def _shotgun_starts(
    layouts: Sequence[int | None], loops: Mapping[int | None, list[TeePosition]], chosen: Spread
) -> tuple[Start, ...]:
    queue = {
        layout: [(tee, False) for tee in used]
        + [(tee, True) for tee in _second_places(used, loops[layout])[: chosen.left_over[layout]]]
        for layout, used in chosen.used.items()
    }
    starts = []
    for index, layout in enumerate(layouts):
        tee, second = queue[layout].pop(0)
        starts.append(Start(index, layout, tee.position, 0, second, tee.label, tee.tee))
    return tuple(starts)


def _second_places(used: Sequence[TeePosition], loop: Sequence[TeePosition]) -> list[TeePosition]:
    """Holes for second groups, a short hole after a long one first (by par where a length is missing)."""
    measured = all(tee.length_m is not None for tee in loop)

    def shorter_than_last(tee: TeePosition) -> int:
        before = loop[loop.index(tee) - 1]
        if measured:
            return (before.length_m or 0) - (tee.length_m or 0)
        return before.par - tee.par

    return sorted(used, key=lambda tee: (-shorter_than_last(tee), tee.position))


def start_minutes(slot: int, *, interval: int, gap_after: int | None = None, gap_minutes: int = 0) -> int:
    """Minutes from the first start to start number `slot` (0 is the first) on one tee.

    The starter's gap of `gap_minutes` follows every `gap_after` starts: interval 10 and a gap of 10 after
    every 10 put the eleventh at 110.
    """
    gaps = slot // gap_after if gap_after else 0
    return slot * interval + gaps * gap_minutes


def place_tee_times(
    layouts: Sequence[int | None],
    tees: Sequence[TeePosition],
    *,
    interval: int,
    starting: Mapping[int | None, Sequence[int]] | None = None,
    gap_after: int | None = None,
    gap_minutes: int = 0,
    best_last: bool = False,
) -> tuple[Start, ...]:
    """Give each group a tee time; `layouts` holds the layout of each group, in order.

    `starting` names the starting positions of a layout (1 and 10 for two starts at once), else its first.
    Layouts that start from one physical tee take turns on it. With `best_last` the first group of each
    layout starts last, from its first starting hole (1.06.E). Raises UnknownStart, ValueError.
    """
    if interval < 1:
        raise ValueError("The interval between tee times is at least one minute.")
    loops = _loops(layouts, tees)
    doors = {layout: _doors(loop, (starting or {}).get(layout)) for layout, loop in loops.items()}
    next_slot: Counter[int] = Counter()
    slots: defaultdict[tuple[int | None, int], list[TeePosition]] = defaultdict(list)
    order: defaultdict[tuple[int | None, int], list[int]] = defaultdict(list)
    indices = range(len(layouts) - 1, -1, -1) if best_last else range(len(layouts))
    for index in indices:
        layout = layouts[index]
        door = min(doors[layout], key=lambda tee: next_slot[tee.tee])
        slot = next_slot[door.tee]
        next_slot[door.tee] += 1
        slots[layout, slot].append(door)
        order[layout, slot].append(index)
    starts = []
    for (layout, slot), used in slots.items():
        minute = start_minutes(slot, interval=interval, gap_after=gap_after, gap_minutes=gap_minutes)
        ordered = sorted(used, key=doors[layout].index)
        for index, door in zip(sorted(order[layout, slot]), ordered, strict=True):
            starts.append(Start(index, layout, door.position, minute, False, door.label, door.tee))
    return tuple(sorted(starts, key=lambda start: start.group_index))


def _doors(loop: Sequence[TeePosition], positions: Sequence[int] | None) -> list[TeePosition]:
    if not positions:
        return [loop[0]]
    known = {tee.position: tee for tee in loop}
    missing = [position for position in positions if position not in known]
    if missing:
        raise UnknownStart(f"The layout has no hole at position {missing[0]}.")
    return [known[position] for position in dict.fromkeys(positions)]


def capacity(tees: Sequence[TeePosition], *, size: int = 4, taken: Collection[int] = ()) -> Capacity:
    """What a shotgun on these positions holds: one group on each physical tee that is free.

    18 holes hold 72 in fours and 90 in fives (derived from Competition Manual 2025, 1.06.G, H).
    """
    groups = len({tee.tee for tee in tees} - set(taken))
    return Capacity(groups, groups * size)


def tee_time_capacity(
    minutes: int,
    *,
    interval: int,
    size: int = 4,
    starting_holes: int = 1,
    gap_after: int | None = None,
    gap_minutes: int = 0,
) -> Capacity:
    """What tee times hold when the last start may be at most `minutes` after the first."""
    if interval < 1:
        raise ValueError("The interval between tee times is at least one minute.")
    slots = 0
    while start_minutes(slots, interval=interval, gap_after=gap_after, gap_minutes=gap_minutes) <= minutes:
        slots += 1
    groups = slots * starting_holes
    return Capacity(groups, groups * size)
