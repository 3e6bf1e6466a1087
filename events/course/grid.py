"""A layout as a grid of rows, as it is typed or read from a workbook. Pure."""

from collections.abc import Sequence
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
