"""What is asked of a pool and what its rating holds. Pure; always an estimate, never official."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction

from scoring.ratings.bootstrap import Drawn
from scoring.ratings.line import Line
from scoring.ratings.propagators import Excluded, Propagator, people_in

LABEL = "estimated"


class Method(StrEnum):
    """How the scratch scoring average (SSA) is had from the propagators' scores."""

    LINE = "line"
    PROPORTIONAL = "proportional"
    FIXED = "fixed"


class Choice(StrEnum):
    """What may be asked for: a method, or the one that suits the field."""

    BY_FIELD = "by_field"
    LINE = "line"
    PROPORTIONAL = "proportional"
    FIXED = "fixed"


@dataclass(frozen=True)
class Wanted:
    """How a pool is to be rated; `ssa` (throws over the pool's holes) is needed for `fixed` and only then used."""

    choice: Choice = Choice.BY_FIELD
    ssa: Fraction | None = None


BY_FIELD = Wanted()


@dataclass(frozen=True, slots=True)
class Said:
    """A decision as it stands beside every rating: what, by whom, when, why."""

    what: str
    reason: str
    by: str
    at: datetime


@dataclass(frozen=True)
class Rated:
    """One player's rated round; `low` and `high` are its interval, None where none could be had."""

    key: str
    name: str
    score: int
    rating: int
    low: int | None = None
    high: int | None = None


@dataclass(frozen=True)
class RoundRating:
    """A round's rating with its working; always to be shown under `label`.

    `why` says in a sentence why this method was taken. `ssa` is in throws, rounded to thousandths before it is
    used, as published averages are printed, so that anyone can recompute a rating from the figure they see;
    `ssa_se` is its standard error: by the line, or by drawing players anew where one has several rounds (None for two
    propagators and for the methods without a free line); `line` is set for `Method.LINE` only; `drawn` holds the
    resampled averages. When `refused` is not empty it is the
    sentence that says why, and there are no ratings.
    """

    method: Method
    edition: str
    holes: int
    propagators: tuple[Propagator, ...]
    excluded: tuple[Excluded, ...]
    why: str = ""
    label: str = LABEL
    line: Line | None = None
    ssa: Fraction | None = None
    ssa_se: float | None = None
    drawn: Drawn | None = None
    points_per_throw: Fraction | None = None
    ratings: tuple[Rated, ...] = ()
    warnings: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    refused: str = ""

    @property
    def people(self) -> int:
        """How many players the average rests on; a player of several rounds is one."""
        return people_in(self.propagators)

    @property
    def repeats(self) -> bool:
        """Whether one player has several rounds in it, so that the rounds are no independent opinions."""
        return self.people < len(self.propagators)

    @property
    def mean_rating(self) -> Fraction | None:
        """Of the propagators; None without any."""
        count = len(self.propagators)
        return Fraction(sum(each.rating for each in self.propagators), count) if count else None

    @property
    def mean_score(self) -> Fraction | None:
        """Of the propagators; None without any."""
        count = len(self.propagators)
        return Fraction(sum(each.score for each in self.propagators), count) if count else None
