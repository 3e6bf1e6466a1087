"""Who takes which trophy among players who share a place. Pure.

Competition Manual 2025, 1.09.E: at the end a tie below first place stands, and its prizes are shared; the trophies of
the places that it spans may be decided by a playoff or by a contest of skill. Trophies are decided one after the other,
the best first; whoever is left alone at last takes the next one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Sharing:
    """What is decided of a tie. `won`: player → the place whose trophy it is. `following`: the trophy that is decided
    next among `left`, None when none is left to decide."""

    won: Mapping[int, int] = field(default_factory=dict)
    following: int | None = None
    left: tuple[int, ...] = ()


def sharing(place: int, tied: Sequence[int], winners: Mapping[int, int]) -> Sharing:
    """Follow the trophies from `place` on; `winners` is trophy → player. One whose winner is not among those who are
    left decides nothing, and neither do those after it."""
    left, number = list(tied), place
    won: dict[int, int] = {}
    while len(left) > 1 and winners.get(number) in left:
        player = winners[number]
        won[player] = number
        left.remove(player)
        number += 1
    if len(left) == 1:
        won[left[0]] = number
        return Sharing(won)
    return Sharing(won, number, tuple(left))
