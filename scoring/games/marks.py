"""Who stands best in a contest by distance. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measured:
    """One throw that counts: centimetres from the target (closest) or from the tee (longest)."""

    mark: int
    entry: int
    cm: int


def in_order(marks: Sequence[Measured], *, longest: bool) -> list[Measured]:
    """Each player's best throw, the best first; equal ones in the order of measuring."""
    sign = -1 if longest else 1
    best: dict[int, Measured] = {}
    for each in sorted(marks, key=lambda each: (sign * each.cm, each.mark)):
        best.setdefault(each.entry, each)
    return list(best.values())


def places(ordered: Sequence[Measured]) -> list[int]:
    """The place of each of `in_order`: equal throws share one, as 1, 1, 3."""
    found: list[int] = []
    for index, each in enumerate(ordered):
        equal = index and ordered[index - 1].cm == each.cm
        found.append(found[-1] if equal else index + 1)
    return found


def leaders(marks: Sequence[Measured], *, longest: bool) -> list[Measured]:
    """The best, all of them where several are equal."""
    ordered = in_order(marks, longest=longest)
    return [each for each in ordered if each.cm == ordered[0].cm]
