"""What changed between two versions of a sheet, in plain sentences: for the notice and for the page."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What happened: a player came, left or moved; a group got another start or throwing order."""

    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"
    START = "start"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One player's line on a sheet; `order` is the place in the throwing order, `time` as it is printed.

    `time` is empty for a shotgun, `layout` empty when the event has one.
    """

    key: int
    name: str
    group: int
    hole: str
    time: str = ""
    layout: str = ""
    order: int = 0

    @property
    def start(self) -> str:
        """The start in words: "hole 5", "09:10 hole 1", "hole 12B of Short"."""
        hole = f"hole {self.hole}" + (f" of {self.layout}" if self.layout else "")
        return f"{self.time} {hole}".strip()


@dataclass(frozen=True, slots=True)
class Change:
    """One change: the players it concerns, the two states in words, and the sentence that tells it."""

    kind: Kind
    keys: tuple[int, ...]
    before: str
    after: str
    text: str


def compare(old: Iterable[SheetLine], new: Iterable[SheetLine]) -> tuple[Change, ...]:
    """Everything that differs between two versions of a sheet, by name within each kind of change.

    A group that keeps its number and its players is told once ("Group 3: hole 5 → hole 6"); everybody else
    is told by name ("Ines Halvorsen: group 3 hole 5 → group 4 hole 6").
    """
    before = {line.key: line for line in old}
    after = {line.key: line for line in new}
    was, now = _groups(before), _groups(after)
    steady = {number for number, keys in was.items() if now.get(number) == keys}
    found: list[Change] = []
    for line in sorted({**before, **after}.values(), key=lambda line: (line.name, line.key)):
        change = _player_change(before.get(line.key), after.get(line.key), steady)
        if change is not None:
            found.append(change)
    for number in sorted(steady):
        keys = sorted(was[number], key=lambda key: (after[key].order, key))
        found += _group_changes(number, [before[key] for key in keys], [after[key] for key in keys])
    return tuple(found)


def _groups(lines: Mapping[int, SheetLine]) -> dict[int, frozenset[int]]:
    found: defaultdict[int, set[int]] = defaultdict(set)
    for line in lines.values():
        found[line.group].add(line.key)
    return {number: frozenset(keys) for number, keys in found.items()}


def _player_change(old: SheetLine | None, new: SheetLine | None, steady: set[int]) -> Change | None:
    if new is None:
        if old is None:
            return None
        return Change(Kind.REMOVED, (old.key,), _place(old), "", f"{old.name}: out of {_place(old)}")
    if old is None:
        return Change(Kind.ADDED, (new.key,), "", _place(new), f"{new.name}: new in {_place(new)}")
    if (old.group in steady and old.group == new.group) or _place(old) == _place(new):
        return None
    text = f"{new.name}: {_place(old)} → {_place(new)}"
    return Change(Kind.MOVED, (new.key,), _place(old), _place(new), text)


def _place(line: SheetLine) -> str:
    return f"group {line.group} {line.start}"


def _group_changes(number: int, old: list[SheetLine], new: list[SheetLine]) -> list[Change]:
    """Changes of a group whose players are the same; both lists hold them in the new throwing order."""
    keys = tuple(line.key for line in new)
    found = []
    if old[0].start != new[0].start:
        text = f"Group {number}: {old[0].start} → {new[0].start}"
        found.append(Change(Kind.START, keys, old[0].start, new[0].start, text))
    thrown_before = [line.name for line in sorted(old, key=lambda line: (line.order, line.key))]
    throws_now = [line.name for line in new]
    if thrown_before != throws_now:
        was, now = ", ".join(thrown_before), ", ".join(throws_now)
        found.append(Change(Kind.ORDER, keys, was, now, f"Group {number} throws in the order {now}"))
    return found
