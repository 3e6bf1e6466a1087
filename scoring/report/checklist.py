"""What the closing list says, point by point: each with its rule and the room where it is seen to. Pure.

Two lists: what has to stand before the event is over, because nothing changes afterwards (Official Rules of Disc Golf
2025, 808.G.1), and what may still be done then. None of it blocks: what is open when the event is declared over needs
a reason, which the log keeps with the list.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

ORDG, MANUAL = "Official Rules 2025", "Competition Manual 2025"


class Room(StrEnum):
    """Where a point is seen to: the part of the desk's addresses."""

    CARDS = "cards"
    DRAW = "draw"
    PLAYOFFS = "playoffs"
    STANDINGS = "standings"
    PRIZES = "prizes"
    GAMES = "games"
    MONEY = "money"
    FOUND = "logistics/found"
    LOG = "log"


class Kind(StrEnum):
    """What a point is about; `HEADINGS` has the words, in the order of the page."""

    CARDS = "cards"
    TIES = "ties"
    RULINGS = "rulings"
    QUESTIONS = "questions"
    LOG = "log"
    PRIZES = "prizes"
    GAMES = "games"
    MONEY = "money"
    FOUND = "found"


@dataclass(frozen=True, slots=True)
class Area:
    """One line of the list. `before`: it has to stand before the event is over. `whole`: what is said when it does."""

    kind: Kind
    heading: str
    rule: str
    before: bool
    whole: str


AREAS = (
    Area(Kind.CARDS, "Cards", f"{ORDG}, 808.F, 808.G", True, "every card is in, decided and verified"),
    Area(Kind.TIES, "Ties", f"{MANUAL}, 1.08.B, 1.09.B", True, "no tie waits for a playoff"),
    Area(Kind.RULINGS, "Rulings", f"{ORDG}, 801.03, 808.G.1", True, "every ruling counts once"),
    Area(Kind.QUESTIONS, "Questions of groups", f"{ORDG}, 801.03", True, "every question is answered"),
    Area(Kind.LOG, "Log", "", True, "no act is missing or altered"),
    Area(Kind.PRIZES, "Prizes", f"{MANUAL}, 1.10", False, "all are handed out"),
    Area(Kind.GAMES, "Side games", f"{MANUAL}, 1.10.F", False, "all are settled"),
    Area(Kind.MONEY, "Money", "", False, "it adds up"),
    Area(Kind.FOUND, "Lost and found", "", False, "everything is collected"),
)


@dataclass(frozen=True, slots=True)
class Point:
    """One thing that is open. `round` and `group` say on which card it is, else None."""

    kind: Kind
    text: str
    room: Room
    round: int | None = None
    group: int | None = None


@dataclass(frozen=True, slots=True)
class Due:
    """Something owed to the sanctioning body after the event. `at`: the moment, or `on`: the last day; both None
    where no published value is known, and `words` then says what is. `late`: it is past."""

    what: str
    rule: str
    words: str = ""
    at: datetime | None = None
    on: date | None = None
    late: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """An area as the page shows it."""

    area: Area
    points: tuple[Point, ...]


def lines_of(points: list[Point], *, before: bool) -> tuple[Line, ...]:
    """The areas of one of the two lists with their points, in the order of the page."""
    return tuple(
        Line(area, tuple(point for point in points if point.kind is area.kind))
        for area in AREAS
        if area.before == before
    )
