"""The kiosk's right column in parts that fit: a notice is never cut off, it takes its turn. Pure.

Heights are estimated in rem from the letters of a text, a little too high rather than too low, since a hazard
that nobody can read to its end is worse than a gap.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

HEIGHT = 52.0  # of the column without its padding: 1080 px less head and foot
BETWEEN = 1.6
HEADING = 2.6
MOST_STARTS = 6
KEPT_STARTS = 2  # these keep their place when notices could stand together


@dataclass(frozen=True, slots=True)
class ShownStart:
    """`day` is empty today; `text` names the players, or the pool of a shotgun start."""

    clock: str
    day: str
    text: str

    @property
    def height(self) -> float:
        lines = len(wrap(self.text, 19)) + bool(self.day)
        return 1.1 + 2.1 * max(lines, 1)


@dataclass(frozen=True, slots=True)
class ShownNotice:
    title: str
    text: str
    caution: str
    until: str

    @property
    def height(self) -> float:
        lines = len(wrap(self.title, 21)) + len(wrap(f"{self.text} {self.until}", 21))
        small = len(wrap(self.caution, 25))
        return 1.9 + 2.25 * lines + (0.4 + 1.85 * small if small else 0)


@dataclass(frozen=True, slots=True)
class Side:
    """What stands beside the standings at one time."""

    heading: str
    starts: tuple[ShownStart, ...]
    notices: tuple[ShownNotice, ...]


def sides(heading: str, starts: Sequence[ShownStart], notices: Sequence[ShownNotice]) -> tuple[Side, ...]:
    """As many parts as the notices need, in their order; each with as many of the next starts as still fit.

    Notices stand together where two starts have room beside them. At least one part, also when there is nothing
    to say.
    """
    kept = HEADING + sum(start.height for start in starts[:KEPT_STARTS]) if starts else 0
    parts: list[list[ShownNotice]] = []
    for notice in notices:
        if parts and _height(parts[-1]) + notice.height + BETWEEN + kept <= HEIGHT:
            parts[-1].append(notice)
        else:
            parts.append([notice])
    return tuple(_side(heading, starts, part) for part in parts or [[]])


def _height(notices: Sequence[ShownNotice]) -> float:
    return sum(notice.height + BETWEEN for notice in notices)


def _side(heading: str, starts: Sequence[ShownStart], notices: Sequence[ShownNotice]) -> Side:
    room = HEIGHT - _height(notices) - HEADING
    fitting = []
    for start in starts[:MOST_STARTS]:
        room -= start.height
        if room < 0:
            break
        fitting.append(start)
    return Side(heading, tuple(fitting), tuple(notices))
