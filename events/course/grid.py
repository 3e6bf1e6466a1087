"""A layout as a grid of rows, as it is typed or read from a workbook. Pure."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass

LONGEST_LAYOUT = 60


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One hole of a layout. Empty tee or target: named by the label."""

    label: str
    par: int
    length_m: int | None = None
    tee: str = ""
    target: str = ""
    walk_minutes: int | None = None
    note: str = ""

    @property
    def tee_name(self) -> str:
        return self.tee or self.label

    @property
    def target_name(self) -> str:
        return self.target or self.label


def faults(rows: Sequence[HoleRow]) -> list[str]:
    """What is wrong with the grid as a whole, sentence by sentence; single cells are checked where they are read."""
    found: list[str] = []
    if not rows:
        found.append("A layout has at least one hole.")
    if len(rows) > LONGEST_LAYOUT:
        found.append(f"A layout has at most {LONGEST_LAYOUT} holes; this one has {len(rows)}.")
    seen: dict[str, int] = {}
    for number, row in enumerate(rows, start=1):
        if row.label in seen:
            found.append(f"Row {number}: the label {row.label} stands in row {seen[row.label]} already.")
        seen.setdefault(row.label, number)
    by_hole: dict[tuple[str, str], HoleRow] = {}
    for number, row in enumerate(rows, start=1):
        twin = by_hole.setdefault((row.tee_name, row.target_name), row)
        if twin is not row and None not in (twin.length_m, row.length_m) and twin.length_m != row.length_m:
            found.append(
                f"Row {number}: {row.tee_name} to {row.target_name} is {row.length_m} m here and "
                f"{twin.length_m} m above."
            )
    return found


Place = tuple[str, int]  # label, physical hole


def carried(before: Mapping[int, Place], after: Mapping[int, Place]) -> dict[int, int | None]:
    """Row id before → row id after that holds the same hole; None for a hole that is gone.

    The same physical hole under the same label goes first, then the same physical hole, then the same label
    (a target that was moved), last the same row (label and tee renamed at once).
    """
    found: dict[int, int | None] = dict.fromkeys(before)
    free = dict(after)
    ways: tuple[Callable[[int, Place], Hashable], ...] = (
        lambda _, place: place,
        lambda _, place: place[1],
        lambda _, place: place[0],
        lambda row, _: row,
    )
    for way in ways:
        open_rows: dict[Hashable, int] = {}
        for row, place in free.items():
            open_rows.setdefault(way(row, place), row)
        for row in [row for row, new in found.items() if new is None]:
            new = open_rows.pop(way(row, before[row]), None)
            if new is not None:
                found[row] = new
                del free[new]
    return found
