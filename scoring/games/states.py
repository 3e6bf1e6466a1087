"""One game as its pages show it. Plain data, read by `queries.py`."""

from dataclasses import dataclass

from scoring.games.models import Ace, Award, Game, Mark, PotLine, RaffleDraw
from scoring.games.pots import Pot


@dataclass(frozen=True, slots=True)
class Player:
    """Somebody who plays the game. `how`: by which way in, in words; `owes`: cents of the entry not paid yet."""

    entry: int
    name: str
    division: str
    how: str
    owes: int = 0
    minor: bool = False


@dataclass(frozen=True, slots=True)
class One:
    """A hole in one throw on a score card; `verified`: the card was checked and locked."""

    entry: int
    name: str
    division: str
    round: int
    round_number: int
    hole_label: str
    verified: bool


@dataclass(frozen=True, slots=True)
class Winner:
    """Who takes part of the pot, in which proportion, and why. `entry` None: no player, as who bought a ticket."""

    name: str
    why: str
    entry: int | None = None
    parts: int = 1


@dataclass(frozen=True, slots=True)
class GameState:
    """`waiting`: ones of players in this pot that nobody has decided; `lost`: aces that count and are no longer a 1 on
    the card, until somebody says why they still count; `marks` in the order of merit."""

    game: Game
    pot: Pot
    players: tuple[Player, ...]
    lines: tuple[PotLine, ...]
    undone: frozenset[int]
    marks: tuple[Mark, ...]
    places: tuple[int, ...]
    back: tuple[Mark, ...]
    aces: tuple[Ace, ...]
    waiting: tuple[One, ...]
    lost: tuple[Ace, ...]
    draw: RaffleDraw | None
    awards: tuple[Award, ...]

    @property
    def settled(self) -> bool:
        return self.game.settled_at is not None

    @property
    def can_settle(self) -> bool:
        """Open, and a raffle drawn if a ticket is sold."""
        drawn = self.draw is not None and self.draw.drawn_at is not None
        return not self.settled and (drawn or not self.tickets)

    @property
    def tickets(self) -> tuple[PotLine, ...]:
        """Sold and not undone, by number."""
        sold = [line for line in self.lines if line.kind == PotLine.Kind.TICKETS and line.undoes_id is None]
        return tuple(line for line in sold if line.pk not in self.undone)

    @property
    def tickets_sold(self) -> int:
        return sum(line.tickets for line in self.tickets)

    @property
    def placed(self) -> list[tuple[int, Mark]]:
        """Marks with their places."""
        return list(zip(self.places, self.marks, strict=True))

    @property
    def minors(self) -> tuple[Player, ...]:
        return tuple(player for player in self.players if player.minor)

    @property
    def owing(self) -> tuple[Player, ...]:
        return tuple(player for player in self.players if player.owes > 0)
