"""What safety is told by the floors above, which it must not import: `desk.urls` hands it in."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from datetime import datetime

from events.entries.models import Entry
from events.log.services import Actor
from events.safety.models import Suspension
from events.setup.models import Event, Round

WAITING, PLAYING, FINISHED = "waiting", "playing", "finished"


@dataclass(frozen=True, slots=True)
class GroupStands:
    """A group of a published sheet as live scores know it. `hole_label` "": not known. `holes`: as it plays them."""

    round: Round
    number: int
    who: str
    state: str
    starts_at: datetime
    hole_label: str
    holes_played: int
    holes: tuple[str, ...]
    players: tuple[tuple[int, str], ...]

    def waited_at(self, moment: datetime) -> bool:
        """Whether its start was still to come then: no start that has passed, and no score."""
        return self.state != FINISHED and self.starts_at > moment and self.holes_played == 0


@dataclass(frozen=True, slots=True)
class Booked:
    """A penalty that was booked for stopping too early or playing on."""

    id: int
    name: str
    round_number: int
    where: str
    throws: int
    what: str
    taken_back: bool


@dataclass(frozen=True, slots=True)
class DivisionPlay:
    """An unfinished round of one division: `layout` its holes in order, `finished` player → holes with a score.

    `rounds_scheduled` are all rounds of the plan; `rounds_finished` by all, this one not counted.
    """

    division_id: int
    code: str
    round: Round
    layout: tuple[str, ...]
    finished: Mapping[Hashable, frozenset[str]]
    rounds_scheduled: int
    rounds_finished: int


@dataclass(frozen=True, slots=True)
class Penalty:
    """Two throws for one player, as the service that asks for it has checked it."""

    suspension: Suspension
    entry: Entry
    round: Round
    hole_label: str
    throws: int
    rule: str
    what: str
    evidence: str


@dataclass(frozen=True, slots=True)
class AboveSafety:
    """`groups(event, now)`: every group of today's rounds. `book(penalty, actor, now)`: beside the player's card;
    raises PenaltyRefused. `booked(suspension)`, `unbook(suspension, id, reason, actor, now)`.
    `unfinished(event)`: the divisions whose last begun round is not finished by all.
    """

    groups: Callable[[Event, datetime], list[GroupStands]]
    book: Callable[[Penalty, Actor, datetime], None]
    booked: Callable[[Suspension], list[Booked]]
    unbook: Callable[[Suspension, int, str, Actor, datetime], None]
    unfinished: Callable[[Event], list[DivisionPlay]]


class PenaltyRefused(Exception):
    """The penalty cannot be booked; the message is a sentence."""
