"""Finds starts that meet on one physical tee, over all layouts, pools and rounds of a day.

Competition Manual 2025, 1.06.I: a second group on a hole is an emergency measure, so every other meeting of
groups on a tee is a mistake. Layouts label the same tee differently; only the physical tee counts.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Placed:
    """A group on its start, as the check over everything in play needs it.

    `minute` counts on one clock for all that is checked together. `occupies` is how many minutes the start
    keeps the tee: the interval with tee times, 0 for a shotgun group, which blocks its own minute only.
    `group` is what the sheet calls the group ("3", "B3").
    """

    group: str
    layout: str
    label: str
    tee: int
    minute: int
    players: int
    occupies: int = 0
    second: bool = False
    tee_name: str = ""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Groups that stand on one tee at one time; `intended` when all but the first are marked as second."""

    tee: int
    placed: tuple[Placed, ...]
    players: int
    intended: bool
    text: str


def conflicts(placed: Iterable[Placed]) -> list[Conflict]:
    """Every meeting of groups on a physical tee, in the order of time, then tee.

    Two starts meet when the later one begins before the earlier one has left the tee: in the same minute,
    or within its interval. A chain of such meetings is one conflict with all its groups.
    """
    by_tee: defaultdict[int, list[Placed]] = defaultdict(list)
    for start in placed:
        by_tee[start.tee].append(start)
    found = [_conflict(chain) for starts in by_tee.values() for chain in _chains(starts) if len(chain) > 1]
    return sorted(found, key=lambda conflict: (conflict.placed[0].minute, conflict.tee))


def _chains(starts: list[Placed]) -> list[list[Placed]]:
    chains: list[list[Placed]] = []
    free_at = 0
    for start in sorted(starts, key=lambda s: (s.minute, s.second, s.layout, s.group)):
        if chains and start.minute < free_at:
            chains[-1].append(start)
        else:
            chains.append([start])
            free_at = start.minute
        free_at = max(free_at, start.minute + max(1, start.occupies))
    return chains


def _conflict(chain: list[Placed]) -> Conflict:
    players = sum(start.players for start in chain)
    intended = len(chain) == 2 and not chain[0].second and chain[1].second
    intended = intended and chain[0].layout == chain[1].layout
    tee = chain[0].tee_name or str(chain[0].tee)
    who = ", ".join(f"group {s.group} ({s.layout}, hole {s.label})" for s in chain)
    together = len({start.minute for start in chain}) == 1
    how = "at the same time" if together else f"within {chain[-1].minute - chain[0].minute} minutes"
    text = f"{players} people on tee {tee} {how}: {who}"
    if intended:
        text = f"Second group on tee {tee}, {players} people: {who}"
    return Conflict(chain[0].tee, tuple(chain), players, intended, text)
