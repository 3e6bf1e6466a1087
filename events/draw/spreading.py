"""Chooses the tees of a shotgun: one group on a physical tee, the empty holes spread around each loop.

Layouts may share physical tees under other labels; a tee that one layout uses is gone for all of them
(Competition Manual 2025, 1.06.I: a second group on a hole is an emergency measure).
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class TeePosition:
    """A hole of a layout as a place to start: its place in the layout, its label and its physical tee.

    `position` counts from 1 in the order of play; `tee` is the id of the physical tee, shared by layouts;
    lengths in metres, the walk from tournament central in minutes, both None when nobody measured them.
    """

    layout: int | None
    position: int
    label: str
    tee: int
    par: int
    length_m: int | None = None
    walk_minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """The positions used on each layout, in the order of the holes, and how many groups found no tee."""

    used: dict[int | None, tuple[TeePosition, ...]]
    left_over: dict[int | None, int]


Loops = Mapping[int | None, Sequence[TeePosition]]  # layout -> its holes in the order of play


def spread(
    wanted: Mapping[int | None, int],
    loops: Loops,
    taken: Collection[int],
) -> Spread:
    """Choose tees for so many groups on each layout.

    Seats as many groups as can be seated at all; then the gaps between groups of a layout are as even as
    possible; among equally even ways the shortest walk wins, then the one that starts on the lowest hole.
    """
    free = {tee.tee for loop in loops.values() for tee in loop} - set(taken)
    full = sum(wanted.values()) >= len(free)  # no hole stays empty: nothing to turn
    shifts = 1 if full else max(len(loops[layout]) for layout in wanted)
    best: tuple[tuple[int, int, int, int], dict[int | None, list[int]]] | None = None
    for shift in range(shifts):
        seats = _seat(wanted, loops, taken, shift)
        for _ in range(3):  # a layout that moves may free a tee that another one would rather have
            for layout in seats:
                _even_out(layout, seats, loops, taken)
        short = sum(wanted.values()) - sum(len(places) for places in seats.values())
        uneven = sum(_unevenness(places, len(loops[layout])) for layout, places in seats.items())
        rank = (short, uneven, _walk(seats, loops), shift)
        if best is None or rank < best[0]:
            best = (rank, seats)
    seats = best[1] if best else {}
    return Spread(
        {layout: tuple(loops[layout][place] for place in sorted(places)) for layout, places in seats.items()},
        {layout: wanted[layout] - len(places) for layout, places in seats.items()},
    )


def _seat(
    wanted: Mapping[int | None, int],
    loops: Loops,
    taken: Collection[int],
    shift: int,
) -> dict[int | None, list[int]]:
    """Give every group a tee by augmenting paths, each group asking first for its evenly spread place.

    The layouts take turns, the one with the fewest tees first, so that a shortage falls on the larger ones.
    """
    order = sorted(wanted, key=lambda layout: (len(loops[layout]), layout or 0))
    turns = max(wanted.values(), default=0)
    slots = [(layout, turn) for turn in range(turns) for layout in order if turn < wanted[layout]]
    wishes = {slot: _wishes(slot[1], wanted[slot[0]], len(loops[slot[0]]), shift) for slot in slots}
    holder: dict[int, tuple[tuple[int | None, int], int]] = {}  # tee -> slot, place in its layout

    def seat(slot: tuple[int | None, int], seen: set[int]) -> bool:
        for place in wishes[slot]:
            tee = loops[slot[0]][place].tee
            if tee in seen or tee in taken:
                continue
            seen.add(tee)
            if tee not in holder or seat(holder[tee][0], seen):
                holder[tee] = (slot, place)
                return True
        return False

    for slot in slots:
        seat(slot, set())
    seats: dict[int | None, list[int]] = {layout: [] for layout in order}
    for (layout, _), place in holder.values():
        seats[layout].append(place)
    return seats


def _wishes(turn: int, groups: int, holes: int, shift: int) -> list[int]:
    """The places of a loop in the order in which the group of this turn would take them."""
    if not holes:
        return []
    ideal = (turn * holes // groups + shift) % holes if groups <= holes else turn % holes
    return sorted(range(holes), key=lambda place: (_around(place, ideal, holes), place))


def _around(place: int, other: int, holes: int) -> int:
    return min((place - other) % holes, (other - place) % holes)


def _unevenness(places: list[int], holes: int) -> int:
    """Sum of the squared gaps around the loop: least when they are equal."""
    if len(places) < 2:
        return 0
    ordered = sorted(places)
    return sum((b - a) ** 2 for a, b in pairwise([*ordered, ordered[0] + holes]))


def _even_out(
    layout: int | None,
    seats: dict[int | None, list[int]],
    loops: Loops,
    taken: Collection[int],
) -> None:
    """Move groups of one layout to free tees as long as its gaps become more even."""
    loop, places = loops[layout], seats[layout]
    elsewhere = {loops[other][p].tee for other, mine in seats.items() if other != layout for p in mine}
    blocked = elsewhere | set(taken)
    better = True
    while better:
        better = False
        now = _unevenness(places, len(loop))
        for seat, place in enumerate(places):
            rest = places[:seat] + places[seat + 1 :]
            own = {loop[p].tee for p in rest}
            for free in range(len(loop)):
                if free == place or loop[free].tee in own or loop[free].tee in blocked:
                    continue
                if _unevenness([*rest, free], len(loop)) < now:
                    places[:] = [*rest, free]
                    better = True
                    break
            if better:
                break


def _walk(seats: Mapping[int | None, list[int]], loops: Loops) -> int:
    """Minutes walked by all groups; 0 for every way when any walk is unknown, so that it decides nothing."""
    walks = [position.walk_minutes for loop in loops.values() for position in loop]
    if any(minutes is None for minutes in walks):
        return 0
    return sum(loops[layout][p].walk_minutes or 0 for layout, places in seats.items() for p in places)
