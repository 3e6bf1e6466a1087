"""What is known of the players of a division before they are ranked. Pure."""

from dataclasses import dataclass
from enum import StrEnum


class PlayerStatus(StrEnum):
    """The published status words (Competition Manual 2025, 5.06.A-B, 3.03.E) and withdrawal."""

    IN = "in"
    DNF = "dnf"
    DQ = "dq"
    DNS = "dns"
    WITHDRAWN = "withdrawn"


class RoundStatus(StrEnum):
    """Where a round stands for one player."""

    TO_COME = "to come"
    IN_PLAY = "in play"
    OVER = "over"


@dataclass(frozen=True)
class Called:
    """What the radio said of a round in play: throws and score to par after so many holes. It counts while fewer
    holes are known, and never makes a round complete."""

    through: int
    total: int
    to_par: int


@dataclass(frozen=True)
class RoundLine:
    """One round of one player: throws in layout order (None: no card), pars of the layout, additional
    penalties of the round, and where the round stands for this player. `undecided`: what was written differs, and
    nobody has decided yet."""

    round: int
    throws: tuple[int | None, ...] | None
    pars: tuple[int, ...]
    additional: int = 0
    status: RoundStatus = RoundStatus.OVER
    called: Called | None = None
    undecided: bool = False

    @property
    def begun(self) -> bool:
        """Whether anything is known of it, also by radio."""
        return self.called is not None or any(score is not None for score in self.throws or ())

    @property
    def whole(self) -> bool:
        return self.throws is not None and len(self.throws) > 0 and None not in self.throws


@dataclass(frozen=True)
class PlayerLine:
    """One player: `key` is unique, `sort_name` orders equal places, `starts` is what to say before the
    first hole of a round ("starts 09:00", given by the caller).

    After a cut: `out_after` is the last round that counts for a player who does not play on, `out_words` says
    why, `block` orders the blocks that are ranked apart (0: still playing), `made_cut` is None without a cut.
    """

    key: str
    name: str
    sort_name: str
    member_number: int | None
    division: str
    rounds: tuple[RoundLine, ...]
    status: PlayerStatus = PlayerStatus.IN
    starts: str = ""
    out_after: int | None = None
    out_words: str = ""
    block: int = 0
    made_cut: bool | None = None

    def counts(self, round: int) -> bool:
        """Whether a round counts for this player: not one after a cut that ended the event for them."""
        return self.out_after is None or round <= self.out_after
