"""What scores and ratings say about the holes of a layout: for the director's next one. Pure; numpy.

A hole separates players when better-rated players need fewer throws on it more surely than chance alone would show.
Par advice for a band is its average, rounded, since par is what a skilled player is expected to need (Par Guidelines,
2021; the distance tables of that document were not read). One player may have several rounds, which makes every test a
little surer than it is.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

import numpy as np

from scoring.ratings.student import t_both_sides

CHANCE = 0.05


@dataclass(frozen=True)
class Band:
    """A skill band, from this rating up."""

    name: str
    at_least: int


@dataclass(frozen=True)
class CourseRules:
    """Bands from the highest down; fewest rounds for a band's average and for judging a hole; `close` in throws."""

    bands: tuple[Band, ...]
    fewest_of_band: int
    fewest_of_hole: int
    close: Decimal


@dataclass(frozen=True)
class RoundPlayed:
    """One complete round: throws in layout order, the player's rating or None. None on a hole whose score is no play:
    scored for an absence, or changed by a ruling."""

    rating: int | None
    throws: tuple[int | None, ...]

    @property
    def whole(self) -> bool:
        return None not in self.throws

    @property
    def total(self) -> int:
        """Throws on the holes that were played."""
        return sum(score for score in self.throws if score is not None)


class Verdict(StrEnum):
    """Whether a hole tells better players from others."""

    SEPARATES = "yes"
    LITTLE = "no"
    WRONG_WAY = "the wrong way"
    FEW = "too few rounds"


@dataclass(frozen=True)
class Advice:
    """Par for a band: None with too few rounds; `close` names the other par that the average is near to."""

    band: str
    rounds: int
    average: Fraction | None
    par: int | None
    close: int | None


@dataclass(frozen=True)
class HoleReport:
    """One hole. `spread` is the standard deviation; `r` the correlation of throws with rating (negative: better
    players need fewer); `per_100` throws fewer for 100 points more; `chance` of so strong a correlation by chance.
    All None where they cannot be had."""

    label: str
    par: int
    rounds: int
    average: Fraction
    spread: float | None
    r: float | None
    per_100: float | None
    chance: float | None
    verdict: Verdict
    bands: tuple[Advice, ...]
    counts: tuple[tuple[int, int], ...]  # (throws, how often)

    @property
    def to_par(self) -> Fraction:
        return self.average - self.par


@dataclass(frozen=True)
class CourseReport:
    """`rounds` complete rounds, `rated` of them by players with a rating; `left_out` scores of holes that were no play,
    so that their rounds (all but `whole` of them) say nothing about totals."""

    rounds: int
    rated: int
    left_out: int
    whole: int
    holes: tuple[HoleReport, ...]
    bands: tuple[tuple[str, str, int], ...]  # name, its ratings in words, rounds
    total_average: Fraction | None
    total_r: float | None


def course_report(
    labels: Sequence[str], pars: Sequence[int], rounds: Sequence[RoundPlayed], rules: CourseRules
) -> CourseReport | None:
    """Hole by hole, but for holes that nobody played; None without a complete round in which one was played.

    Raises ValueError for a round of another number of holes.
    """
    rounds = [each for each in rounds if any(score is not None for score in each.throws)]
    if not rounds:
        return None
    if any(len(each.throws) != len(labels) for each in rounds) or len(pars) != len(labels):
        raise ValueError("Every round needs a place for each hole of the layout.")
    ratings = [each.rating for each in rounds if each.rating is not None]
    holes = tuple(
        _hole(label, par, [(each.rating, each.throws[at]) for each in rounds], rules)
        for at, (label, par) in enumerate(zip(labels, pars, strict=True))
        if any(each.throws[at] is not None for each in rounds)
    )
    whole = [each for each in rounds if each.whole]
    of_rated = [(each.rating, each.total) for each in whole if each.rating is not None]
    return CourseReport(
        rounds=len(rounds),
        rated=len(ratings),
        left_out=sum(each.throws.count(None) for each in rounds),
        whole=len(whole),
        holes=holes,
        bands=_bands(ratings, rules),
        total_average=Fraction(sum(each.total for each in whole), len(whole)) if whole else None,
        total_r=_correlation([rating for rating, _ in of_rated], [total for _, total in of_rated])[0],
    )


def band_of(rating: int, rules: CourseRules) -> Band:
    """The band that a rating falls into."""
    return next((band for band in rules.bands if rating >= band.at_least), rules.bands[-1])


def _bands(ratings: Sequence[int], rules: CourseRules) -> tuple[tuple[str, str, int], ...]:
    held = [band_of(rating, rules).name for rating in ratings]
    words = []
    above: int | None = None
    for band in rules.bands:
        low = f"{band.at_least}" if band.at_least else ""
        if above is None:
            words.append(f"{low} and up")
        else:
            words.append(f"{low} to {above - 1}" if low else f"below {above}")
        above = band.at_least
    return tuple(
        (band.name, text, held.count(band.name)) for band, text in zip(rules.bands, words, strict=True)
    )


def _hole(
    label: str, par: int, scores: Sequence[tuple[int | None, int | None]], rules: CourseRules
) -> HoleReport:
    """`scores` are (rating, throws) of each round, None where the rating is not known, or the score is no play."""
    throws = [score for _, score in scores if score is not None]
    rated = [(rating, score) for rating, score in scores if rating is not None and score is not None]
    ratings, of_rated = [rating for rating, _ in rated], [score for _, score in rated]
    r, slope, chance = _correlation(ratings, of_rated)
    by_band = {band.name: [] for band in rules.bands}  # type: dict[str, list[int]]
    for rating, score in zip(ratings, of_rated, strict=True):
        by_band[band_of(rating, rules).name].append(score)
    return HoleReport(
        label=label,
        par=par,
        rounds=len(throws),
        average=Fraction(sum(throws), len(throws)),
        spread=float(np.std(throws, ddof=1)) if len(throws) > 1 else None,
        r=r,
        per_100=None if slope is None else -100 * slope,
        chance=chance,
        verdict=_verdict(r, chance, len(ratings), rules),
        bands=tuple(advice(name, scores, rules) for name, scores in by_band.items()),
        counts=tuple((score, throws.count(score)) for score in sorted(set(throws))),
    )


def advice(band: str, scores: Sequence[int], rules: CourseRules) -> Advice:
    """Par by the band's average: rounded, the middle up; a par near to it is named too."""
    if len(scores) < rules.fewest_of_band:
        return Advice(band, len(scores), None, None, None)
    average = Fraction(sum(scores), len(scores))
    par = max(2, math.floor(average + Fraction(1, 2)))
    middle = math.floor(average) + Fraction(1, 2)
    near = abs(average - middle) <= Fraction(rules.close) and par > 2
    other = math.floor(average) + math.ceil(average) - par if near and average.denominator != 1 else None
    return Advice(band, len(scores), average, par, other if other is None or other >= 2 else None)


def _correlation(
    ratings: Sequence[int], scores: Sequence[int]
) -> tuple[float | None, float | None, float | None]:
    """Correlation, throws per rating point, and chance; None where one side does not vary or two rounds are too few."""
    if len(ratings) < 3 or len(set(ratings)) == 1 or len(set(scores)) == 1:
        return None, None, None
    x, y = np.asarray(ratings, float), np.asarray(scores, float)
    x, y = x - x.mean(), y - y.mean()
    r = float((x * y).sum() / math.sqrt(float((x * x).sum() * (y * y).sum())))
    slope = float((x * y).sum() / (x * x).sum())
    freedom = len(ratings) - 2
    if 1 - r * r < 1e-12:
        return r, slope, 0.0
    return r, slope, t_both_sides(r * math.sqrt(freedom / (1 - r * r)), freedom)


def _verdict(r: float | None, chance: float | None, rounds: int, rules: CourseRules) -> Verdict:
    if rounds < rules.fewest_of_hole:
        return Verdict.FEW
    if r is None or chance is None or chance >= CHANCE:
        return Verdict.LITTLE
    return Verdict.SEPARATES if r < 0 else Verdict.WRONG_WAY
