"""What stands beside the kiosk's standings, in parts that fit: a notice is never cut off, it takes its turn. Pure.

Heights are estimated in rem from the letters of a text, a little too high rather than too low, since a hazard
that nobody can read to its end is worse than a gap.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

BETWEEN = 1.6
HEADING = 2.9
MOST_STARTS = 6
KEPT_STARTS = 2  # these keep their place when notices could stand together


@dataclass(frozen=True, slots=True)
class Room:
    """The room of one kind of screen: its height in rem without padding, letters in a line of a start, of a notice and
    of its small print; `stacked`: starts stand under the notices and share the height with them."""

    height: float
    start: int
    text: int
    small: int
    stacked: bool


ACROSS = Room(
    height=51.0, start=17, text=21, small=27, stacked=True
)  # a column at the right of a wide screen
UPRIGHT = Room(height=26.0, start=19, text=33, small=42, stacked=False)  # a band across an upright one


@dataclass(frozen=True, slots=True)
class ShownStart:
    """`day` is empty today; `text` names the players, or the pool of a shotgun start."""

    clock: str
    day: str
    text: str

    def height(self, room: Room) -> float:
        lines = len(wrap(self.text, room.start)) + bool(self.day)
        return 1.1 + 2.4 * max(lines, 1)


@dataclass(frozen=True, slots=True)
class OtherWords:
    """The same in another language, by its tag."""

    language: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class ShownNotice:
    """`kind` says what it is ("Hazard, danger to life"), "" for plain news."""

    title: str
    text: str
    caution: str
    until: str
    kind: str = ""
    others: tuple[OtherWords, ...] = ()

    def height(self, room: Room) -> float:
        said = [f"{self.kind}: {self.title}" if self.kind else self.title, f"{self.text} {self.until}"]
        said += [f"{each.title}. {each.text}" for each in self.others]
        lines = sum(len(wrap(text, room.text)) for text in said)
        small = len(wrap(self.caution, room.small))
        return 1.9 + 2.25 * lines + 0.4 * len(self.others) + (0.4 + 1.85 * small if small else 0)


@dataclass(frozen=True, slots=True)
class Side:
    """What stands beside the standings at one time."""

    heading: str
    starts: tuple[ShownStart, ...]
    notices: tuple[ShownNotice, ...]


def sides(
    heading: str, starts: Sequence[ShownStart], notices: Sequence[ShownNotice], room: Room = ACROSS
) -> tuple[Side, ...]:
    """As many parts as the notices need, in their order; each with as many of the next starts as still fit.

    Notices stand together where two starts have room beside them. At least one part, also when there is nothing
    to say.
    """
    shared = bool(starts) and room.stacked
    kept = HEADING + sum(start.height(room) for start in starts[:KEPT_STARTS]) if shared else 0
    parts: list[list[ShownNotice]] = []
    for notice in notices:
        if parts and _height(parts[-1], room) + notice.height(room) + BETWEEN + kept <= room.height:
            parts[-1].append(notice)
        else:
            parts.append([notice])
    return tuple(_side(heading, starts, part, room) for part in parts or [[]])


def _height(notices: Sequence[ShownNotice], room: Room) -> float:
    return sum(notice.height(room) + BETWEEN for notice in notices)


def _side(heading: str, starts: Sequence[ShownStart], notices: Sequence[ShownNotice], room: Room) -> Side:
    left = room.height - HEADING - (_height(notices, room) if room.stacked else 0)
    fitting = []
    for start in starts[:MOST_STARTS]:
        left -= start.height(room)
        if left < 0:
            break
        fitting.append(start)
    return Side(heading, tuple(fitting), tuple(notices))
