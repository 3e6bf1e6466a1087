"""What several phones of one group say about a hole, brought together. Pure.

The outcome follows from what was said and not from the order in which it arrived: of each device the entry it counted
highest holds, unless an entry of somebody who had both before them overrules it. Two figures that are left differ, and
a hole on which they differ has no figure until somebody says who is right.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

Cell = tuple[int, str]  # entry id, label of the hole


@dataclass(frozen=True, slots=True)
class Said:
    """One entry of one device. `seq` is the device's own count, `over` the keys it overrules; `throws` None: taken
    away again."""

    key: str
    device: int
    seq: int
    entry_id: int
    hole: str
    throws: int | None
    over: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Merged:
    """What is left of one hole: `throws` None for nothing said, or for figures that differ; `said` are the entries
    that hold, in device order."""

    throws: int | None
    differs: bool
    said: tuple[Said, ...]


def merged(entries: Iterable[Said]) -> dict[Cell, Merged]:
    """Player and hole → what is left of everything that was said about it."""
    cells: dict[Cell, list[Said]] = defaultdict(list)
    for each in entries:
        cells[each.entry_id, each.hole].append(each)
    return {cell: _merged(said) for cell, said in cells.items()}


def _merged(said: Sequence[Said]) -> Merged:
    latest: dict[int, Said] = {}
    for each in said:
        held = latest.get(each.device)
        if held is None or (each.seq, each.key) > (held.seq, held.key):
            latest[each.device] = each
    overruled = {key for each in said for key in each.over}
    left = tuple(latest[device] for device in sorted(latest) if latest[device].key not in overruled)
    figures = {each.throws for each in left if each.throws is not None}
    return Merged(next(iter(figures)) if len(figures) == 1 else None, len(figures) > 1, left)


def by_device(entries: Iterable[Said]) -> dict[int, dict[Cell, int | None]]:
    """Device → what it says and nobody overruled."""
    found: dict[int, dict[Cell, int | None]] = {}
    for cell, left in merged(entries).items():
        for each in left.said:
            found.setdefault(each.device, {})[cell] = each.throws
    return found


@dataclass(frozen=True, slots=True)
class Laid:
    """One player's line: the typed figures, with those of the phones in the holes that were not typed. `differs` are
    the holes that somebody has to decide: two phones, or a phone and the typed card, say different figures."""

    throws: tuple[int | None, ...]
    differs: tuple[str, ...]


def laid(
    entry_id: int, labels: Sequence[str], typed: Sequence[int | None] | None, cells: Mapping[Cell, Merged]
) -> Laid:
    """Bring a typed line (None: nothing typed) and the phones' figures together; a typed figure stands before a
    phone's, since the whole group looked at the paper card."""
    throws: list[int | None] = []
    differs = []
    for index, label in enumerate(labels):
        written = typed[index] if typed is not None else None
        cell = cells.get((entry_id, label))
        throws.append(written if written is not None or cell is None else cell.throws)
        figures = {each.throws for each in cell.said} if cell is not None else set()
        if len((figures | {written}) - {None}) > 1:
            differs.append(label)
    return Laid(tuple(throws), tuple(differs))
