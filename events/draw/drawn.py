"""What a draw gives, and the shuffle that anybody can repeat. Pure."""

import random
from collections.abc import Mapping
from dataclasses import dataclass

from events.draw.candidates import Candidate

Places = Mapping[int | None, int]  # layout -> how many groups can start on it


@dataclass(frozen=True, slots=True)
class DrawnGroup:
    """One group: its players in throwing order, the divisions it holds, and how it came about."""

    number: int
    members: tuple[Candidate, ...]
    divisions: tuple[str, ...]
    layout: int | None
    reason: str


@dataclass(frozen=True, slots=True)
class Draw:
    """All groups of a pool, best or first group first, and what the director should know of them."""

    groups: tuple[DrawnGroup, ...]
    notes: tuple[str, ...]


def shuffled(line: list[Candidate], chance: random.Random) -> list[Candidate]:
    """A shuffled copy, by exchanges from the end, with `random()` alone.

    Only `random()` is promised to give the same figures in every later Python, so the draw of today can be
    repeated by anybody who has the seed.
    """
    mixed = list(line)
    for last in range(len(mixed) - 1, 0, -1):
        other = int(chance.random() * (last + 1))
        mixed[last], mixed[other] = mixed[other], mixed[last]
    return mixed
