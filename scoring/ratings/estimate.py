"""A round rated from its propagators, with its working. Pure; always an estimate, never official.

One call rates one pool: everyone who played the same layout in the same round, of all divisions.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from fractions import Fraction

from scoring.ratings.compression import Constants, points_per_throw, round_rating, to_places
from scoring.ratings.line import Line, NoLine, least_squares
from scoring.ratings.propagators import Excluded, Played, Propagator, Rules, choose

LABEL = "estimated"
PROPORTION = 480  # one-parameter method; inferred from result records of 2025, published nowhere

WIDE_ERROR = 2.0  # throws of standard error from which we warn; the product's own bound, no source


class Method(StrEnum):
    """How the scratch scoring average (SSA) is had from the propagators' scores."""

    LINE = "line"
    PROPORTIONAL = "proportional"


@dataclass(frozen=True)
class Rated:
    """One player's rated round."""

    key: str
    name: str
    score: int
    rating: int


@dataclass(frozen=True)
class RoundRating:
    """A round's rating with its working; always to be shown under `label`.

    `ssa` is in throws, rounded to thousandths before it is used, as published averages are printed, so that
    anyone can recompute a rating from the figure they see; `ssa_se` is its standard error (None for two
    propagators and for the proportional method); `line` is set for `Method.LINE` only. When `refused` is not
    empty it is the sentence that says why, and there are no ratings.
    """

    method: Method
    propagators: tuple[Propagator, ...]
    excluded: tuple[Excluded, ...]
    label: str = LABEL
    line: Line | None = None
    ssa: Fraction | None = None
    ssa_se: float | None = None
    points_per_throw: Fraction | None = None
    ratings: tuple[Rated, ...] = ()
    warnings: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    refused: str = ""


def rate_round(
    players: Sequence[Played],
    *,
    rules: Rules,
    constants: Constants,
    first_day: date,
    holes: int,
    method: Method = Method.LINE,
) -> RoundRating:
    """Rate every finished round of one pool on one layout of `holes` holes.

    `Method.LINE` is the least-squares line of score on rating over the propagators, read at 1000 (players'
    forum analysis, 1 March 2013). Raises ValueError when a key occurs twice; whatever else stands in the
    way comes back as a refusal, so that a page can show it with the excluded players.
    """
    if len({player.key for player in players}) != len(players):
        raise ValueError("A player stands twice in the pool to be rated.")
    propagators, excluded = choose(players, rules, first_day)
    base = RoundRating(method, propagators, excluded)
    if holes < rules.holes:
        return replace(
            base, refused=f"Rounds of fewer than {rules.holes} holes are not rated; this has {holes}."
        )
    if len(propagators) < rules.fewest:
        few = f"{len(propagators)} of at least {rules.fewest}"
        return replace(base, refused=f"Too few propagators to rate this round: {few}.")
    try:
        measured = _measured(base, constants.scratch)
    except NoLine:
        return replace(base, refused="All propagators have the same rating, so no line can be drawn.")
    return _finished(measured, players, rules, constants, holes)


def proportional_ssa(propagators: Sequence[Propagator], scratch: int) -> Fraction:
    """SSA of a line through the origin: mean score x 480 / (1480 - mean rating).

    Inferred from result records of 2025, not published. Raises ValueError without propagators.
    """
    if not propagators:
        raise ValueError("An average needs at least one propagator.")
    throws = sum(player.score for player in propagators)
    gaps = sum(scratch + PROPORTION - player.rating for player in propagators)
    return Fraction(throws * PROPORTION, gaps)


def _measured(base: RoundRating, scratch: int) -> RoundRating:
    if base.method is Method.PROPORTIONAL:
        return replace(base, ssa=_thousandths(proportional_ssa(base.propagators, scratch)))
    line = least_squares(
        [player.rating for player in base.propagators], [player.score for player in base.propagators]
    )
    return replace(
        base,
        line=line,
        ssa=_thousandths(line.at(scratch)),
        ssa_se=line.standard_error_at(scratch),
    )


def _finished(
    measured: RoundRating, players: Sequence[Played], rules: Rules, constants: Constants, holes: int
) -> RoundRating:
    ssa = measured.ssa
    assert ssa is not None
    points = points_per_throw(ssa, constants, holes)
    if ssa <= 0 or points <= 0:
        shown = to_places(ssa, 3)
        return replace(
            measured, refused=f"A scratch scoring average of {shown} is outside every published range."
        )
    ratings = tuple(
        Rated(player.key, player.name, player.score, round_rating(ssa, player.score, points, constants))
        for player in players
        if player.rateable and player.score is not None
    )
    rated = replace(measured, points_per_throw=points, ratings=ratings)
    return replace(
        rated,
        warnings=_warnings(rated, rules, points, _scaled(constants.full_round, holes)),
        working=_working(rated, constants, points, ssa),
    )


def _warnings(rated: RoundRating, rules: Rules, points: Fraction, scaled: Sequence[str]) -> tuple[str, ...]:
    found: list[str] = []
    if len(rated.propagators) < rules.advised:
        found.append(
            f"Only {len(rated.propagators)} propagators; official ratings take at least {rules.advised}."
        )
    if rated.line is not None and rated.line.slope >= 0:
        found.append("Higher-rated propagators did not need fewer throws; the line says little.")
    elif rated.line is not None and rated.line.n == 2:
        found.append("Two propagators always lie on a line; how far off it may be is not known.")
    if rated.ssa_se is not None and rated.ssa_se >= WIDE_ERROR:
        found.append(
            f"The scratch scoring average may be off by {rated.ssa_se:.1f} throws or more either way."
        )
    if not rules.points_low <= points <= rules.points_high:
        shown = to_places(points, 2)
        span = f"{rules.points_low} to {rules.points_high}"
        found.append(f"{shown} points per throw is outside the published {span}.")
    return (*found, *scaled)


def _scaled(full_round: int, holes: int) -> Sequence[str]:
    if holes == full_round:
        return ()
    return (f"Scaled from {full_round} to {holes} holes by our own rule; none is published.",)


def _working(rated: RoundRating, constants: Constants, points: Fraction, ssa: Fraction) -> tuple[str, ...]:
    shown, scratch = to_places(ssa, 3), constants.scratch
    lines = [f"{len(rated.propagators)} propagators."]
    if rated.line is None:
        lines.append(f"SSA = mean score × {PROPORTION} ÷ ({scratch + PROPORTION} − mean rating) = {shown}.")
    else:
        slope, intercept = to_places(rated.line.slope, 5), to_places(rated.line.intercept, 3)
        spread = "" if rated.ssa_se is None else f", standard error {rated.ssa_se:.2f}"
        sign = "+" if slope >= 0 else "−"
        lines.append(f"Line: score = {_signed(intercept)} {sign} {_signed(abs(slope))} × rating.")
        lines.append(f"SSA = line at {scratch} = {shown}{spread}.")
    lines.append(f"Points per throw = {to_places(points, 4)} ({constants.name}: {constants.source}).")
    rounded = "rounded down" if constants.cut_off else "rounded to the nearest"
    lines.append(f"Rating = {scratch} + (SSA − score) × points per throw, {rounded}.")
    return tuple(lines)


def _signed(value: object) -> str:
    return str(value).replace("-", "−")


def _thousandths(value: Fraction) -> Fraction:
    return Fraction(to_places(value, 3))
