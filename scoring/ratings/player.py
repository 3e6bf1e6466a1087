"""A player's rating worked out from rated rounds, with its working. Pure; an estimate, never official.

The rule (Ratings System Guide; the figures are the rulebook's): rounds of the twelve months before the latest rated
round; with fewer than eight, back to 24 months until eight are found; rounds far below the average are left out
when there are seven or more; the newest quarter counts double from nine rounds on. That the doubled quarter is rounded
up to whole rounds, and the result too, is inferred from four histories.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from scoring.ratings.compression import to_places
from scoring.ratings.propagators import years_earlier

LABEL = "estimated"


@dataclass(frozen=True)
class Past:
    """One round of a history; `rating` None: not finished, or not rated. `order` settles rounds of one day."""

    played_on: date
    order: int
    rating: int | None
    name: str = ""


@dataclass(frozen=True)
class PlayerRules:
    """Figures of the rule; years, rounds, percent, deviations and points. `rounding`: "up", "nearest" or "floor"."""

    window: int
    longest: int
    fewest: int
    double_from: int
    double_percent: int
    drop_from: int
    drop_deviations: Fraction
    drop_points: int
    rounding: str


class Use(StrEnum):
    """What became of a round."""

    COUNTS = "counts"
    DOUBLE = "counts double"
    DROPPED = "left out, too far below"
    OLD = "too old"
    UNRATED = "not rated"


@dataclass(frozen=True)
class Used:
    past: Past
    use: Use


@dataclass(frozen=True)
class PlayerRating:
    """`rating` is None without a rated round; `exact` is it before rounding. `rounds` are all of the history, the
    newest first; `since` is the first day of the window. Always to be shown under `label`."""

    rating: int | None
    exact: Fraction | None
    rounds: tuple[Used, ...]
    since: date | None
    until: date | None
    working: tuple[str, ...]
    label: str = LABEL

    def count(self, *uses: Use) -> int:
        return sum(each.use in uses for each in self.rounds)

    @property
    def counted(self) -> int:
        """Rounds that the rating rests on."""
        return self.count(Use.COUNTS, Use.DOUBLE)


def rate_player(history: Sequence[Past], rules: PlayerRules) -> PlayerRating:
    """Rate a player as of the date of the latest rated round."""
    ordered = sorted(history, key=lambda past: (past.played_on, past.order))
    rated = [past for past in ordered if past.rating is not None]
    if not rated:
        unrated = tuple(Used(past, Use.UNRATED) for past in reversed(ordered))
        return PlayerRating(None, None, unrated, None, None, ("No rated round is known.",))
    until = rated[-1].played_on
    inside = _window(rated, rules, until)
    kept, low = _kept(inside, rules)
    doubled = _doubled(len(kept), rules)
    double = kept[len(kept) - doubled :]
    exact = Fraction(sum(map(_points, kept)) + sum(map(_points, double)), len(kept) + doubled)
    uses = {id(past): Use.COUNTS for past in kept} | {id(past): Use.DOUBLE for past in double}
    uses |= {id(past): Use.DROPPED for past in inside if id(past) not in uses}
    rounds = tuple(
        Used(past, Use.UNRATED if past.rating is None else uses.get(id(past), Use.OLD))
        for past in reversed(ordered)
    )
    since = inside[0].played_on
    words = _working(inside, kept, low, doubled, exact, rules)
    return PlayerRating(_rounded(exact, rules.rounding), exact, rounds, since, until, words)


def _window(rated: Sequence[Past], rules: PlayerRules, until: date) -> list[Past]:
    """Of the last year, a round exactly a year before the latest among them; widened to the fewest rounds."""
    year = [past for past in rated if past.played_on >= years_earlier(until, rules.window)]
    if len(year) >= rules.fewest:
        return year
    return [past for past in rated if past.played_on >= years_earlier(until, rules.longest)][-rules.fewest :]


def _kept(inside: Sequence[Past], rules: PlayerRules) -> tuple[list[Past], float | None]:
    """The rounds that are not too far below their average, and the figure below which they are left out."""
    if len(inside) < rules.drop_from:
        return list(inside), None
    mean = Fraction(sum(map(_points, inside)), len(inside))
    variance = Fraction(sum((_points(past) - mean) ** 2 for past in inside), len(inside))
    low = max(
        float(mean) - float(rules.drop_deviations) * math.sqrt(variance), float(mean) - rules.drop_points
    )
    return [past for past in inside if not _far_below(past, mean, variance, rules)], low


def _far_below(past: Past, mean: Fraction, variance: Fraction, rules: PlayerRules) -> bool:
    """Exact: below by more than so many deviations, or more than so many points."""
    below = mean - _points(past)
    return below > rules.drop_points or (below > 0 and below**2 > rules.drop_deviations**2 * variance)


def _doubled(count: int, rules: PlayerRules) -> int:
    return math.ceil(Fraction(count * rules.double_percent, 100)) if count >= rules.double_from else 0


def _points(past: Past) -> int:
    assert past.rating is not None
    return past.rating


def _rounded(exact: Fraction, rounding: str) -> int:
    if rounding == "up":
        return math.ceil(exact)
    return math.floor(exact + Fraction(1, 2) if rounding == "nearest" else exact)


def _working(
    inside: Sequence[Past],
    kept: Sequence[Past],
    low: float | None,
    doubled: int,
    exact: Fraction,
    rules: PlayerRules,
) -> tuple[str, ...]:
    lines = [
        f"{len(inside)} rated rounds from {inside[0].played_on.isoformat()} to {inside[-1].played_on.isoformat()}."
    ]
    if low is not None:
        lines.append(
            f"Left out below {low:.1f} ({to_places(rules.drop_deviations, 1)} standard deviations or"
            f" {rules.drop_points} points under the average): {len(inside) - len(kept)}."
        )
    if doubled:
        lines.append(f"The newest {doubled} of {len(kept)} count double.")
    rounding = {"up": "rounded up", "nearest": "rounded to the nearest", "floor": "rounded down"}
    lines.append(f"Average {to_places(exact, 2)}, {rounding[rules.rounding]}.")
    return tuple(lines)
