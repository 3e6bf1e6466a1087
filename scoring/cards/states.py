"""A card as pages and commands see it: plain data with the words and orders that follow from it."""

from dataclasses import dataclass
from datetime import datetime

from events.course.queries import HoleFacts, LayoutFacts
from events.entries.models import Status
from scoring.cards.arithmetic import LineSum, from_start, through
from scoring.cards.presence import Presence, presence_of


@dataclass(frozen=True, slots=True)
class PlayerLine:
    """One player of a group with the line that stands; throws and penalties in layout order, None: blank.

    `throws` as they are written, `counts` with the rulings on top; `sum` adds up what counts.
    """

    entry_id: int
    name: str
    family_name: str
    member_number: int | None
    division: str
    status: str
    status_label: str
    throws: tuple[int | None, ...]
    counts: tuple[int | None, ...]
    penalties: tuple[int, ...]
    additional: int
    additional_reason: str
    written_total: int | None
    sum: LineSum

    @property
    def playing(self) -> bool:
        """Whether the rest of the round is still expected of this player."""
        return self.status == Status.CONFIRMED


@dataclass(frozen=True, slots=True)
class CardState:
    """One group's card of a round. `base` is the number of the current version, 0: nothing written; `heard_at` is when
    a phone or the radio last said something; `open_holes` count figures on which phones, or a phone and
    the typed card, differ."""

    number: int
    start_label: str
    start_index: int
    starts_at: datetime
    second: bool
    layout: LayoutFacts
    players: tuple[PlayerLine, ...]
    finished_at: datetime | None
    returned_at: datetime | None
    due_at: datetime | None
    opened_by: str
    opened_at: datetime | None
    base: int
    conflicts: int
    verified_at: datetime | None = None
    heard_at: datetime | None = None
    open_holes: int = 0
    return_noted: bool = False

    @property
    def verified(self) -> bool:
        return self.verified_at is not None

    @property
    def came_in_at(self) -> datetime | None:
        """When the card came in, as far as that was noted: one that was only typed was in by then, at the latest."""
        return self.returned_at if self.return_noted else None

    @property
    def late(self) -> bool:
        return self.due_at is not None and self.came_in_at is not None and self.came_in_at > self.due_at

    @property
    def divisions(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(player.division for player in self.players))

    @property
    def complete(self) -> bool:
        """Every player who is still playing has a score on every hole."""
        return all(player.sum.complete for player in self.players if player.playing)

    @property
    def done(self) -> bool:
        return self.complete and self.returned_at is not None and not self.conflicts and not self.open_holes

    @property
    def holes_played(self) -> int:
        return max((player.sum.played for player in self.players), default=0)

    @property
    def next_label(self) -> str | None:
        """The hole that the group is on, as far as scores are known; None: none known, or none left."""
        lines = [through(player.throws, self.start_index) for player in self.players if player.sum.played]
        farthest = max(lines, key=lambda line: line.played, default=None)
        if farthest is None or farthest.next_index is None:
            return None
        return self.layout.holes[farthest.next_index].label

    @property
    def holes(self) -> tuple[tuple[int, HoleFacts], ...]:
        """(index in the layout, hole) in the order in which the group plays them."""
        order = from_start(len(self.layout.holes), self.start_index)
        return tuple((index, self.layout.holes[index]) for index in order)

    @property
    def short_name(self) -> str:
        """The first player and how many more: "Moravec and 3"."""
        if not self.players:
            return "nobody"
        more = len(self.players) - 1
        return f"{self.players[0].family_name} and {more}" if more else self.players[0].family_name

    def presence(self, now: datetime) -> Presence | None:
        return presence_of(self.opened_by, self.opened_at, now)


@dataclass(frozen=True, slots=True)
class LineFacts:
    """One player's line as it was saved; `at` and `version` (its number) say when and as what.

    `total` is the sum of what is written, without rulings.
    """

    round_id: int
    round_number: int
    entry_id: int
    throws: tuple[int | None, ...]
    penalties: tuple[int, ...]
    additional: int
    additional_reason: str
    written_total: int | None
    played: int
    total: int | None
    complete: bool
    version: int
    at: datetime


@dataclass(frozen=True, slots=True)
class VersionState:
    id: int
    number: int
    base: int
    state: str
    state_label: str
    source: str
    source_label: str
    at: datetime
    by: str
    reason: str
    lines: tuple[LineFacts, ...]


@dataclass(frozen=True, slots=True)
class CardView:
    """One card to work on: its state and its versions, newest first."""

    state: CardState
    versions: tuple[VersionState, ...]

    @property
    def current(self) -> VersionState | None:
        return next((version for version in self.versions if version.state == "current"), None)

    @property
    def typed(self) -> bool:
        """Whether the card room has typed it from paper, with the totals that the players wrote."""
        return any(version.source in {"paper", "second"} for version in self.versions)

    @property
    def untyped(self) -> bool:
        """Nobody has typed the card: at most holes that were not played stand on it."""
        return all(version.source == "desk" for version in self.versions)

    @property
    def differing(self) -> tuple[VersionState, ...]:
        return tuple(version for version in self.versions if version.state == "differs")
