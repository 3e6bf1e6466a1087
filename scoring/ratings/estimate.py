"""A round rated from its propagators, with its working. Pure; always an estimate, never official.

One call rates one pool: everyone who played the same layout in the same round and conditions, of all divisions.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from statistics import pstdev

from scoring.ratings.bootstrap import Drawn, draw, rating_intervals
from scoring.ratings.compression import Constants, points_per_throw, round_rating, to_places
from scoring.ratings.estimate_words import counted, warnings_of, working_of
from scoring.ratings.line import NoLine, least_squares
from scoring.ratings.propagators import Played, Propagator, Rules, choose, people_in
from scoring.ratings.round_rating import BY_FIELD, Choice, Method, Rated, RoundRating, Wanted


def rate_round(
    players: Sequence[Played],
    *,
    rules: Rules,
    constants: Constants,
    first_day: date,
    holes: int,
    wanted: Wanted = BY_FIELD,
    left_out: Mapping[str, str] | None = None,
    let_in: Collection[str] = (),
    seed: int | None = None,
) -> RoundRating:
    """Rate every finished round of one pool on `holes` holes.

    `Method.LINE` is the least-squares line of score on rating over the propagators, read at 1000 (players'
    forum analysis, 1 March 2013). `left_out` are keys of propagators that the director does not want, with the
    reason, `let_in` of those who count though they did not play every hole; with a `seed` the intervals are drawn.
    What is counted are people: two rounds of one player are one opinion. Raises ValueError when a key occurs twice;
    whatever else stands in the way comes back as a refusal, so that a page can show it with the excluded players.
    """
    if len({player.key for player in players}) != len(players):
        raise ValueError("A player stands twice in the pool to be rated.")
    propagators, excluded = choose(players, rules, first_day, left_out, let_in)
    method, why = chosen_method(wanted.choice, propagators, rules)
    base = RoundRating(method, constants.edition, holes, propagators, excluded, why)
    refusal = _refusal(base, rules, wanted)
    if refusal:
        return replace(base, refused=refusal)
    try:
        measured = _measured(base, wanted, rules, constants.scratch)
    except NoLine:
        return replace(base, refused="All propagators have the same rating, so no line can be drawn.")
    return _finished(measured, players, rules, constants, seed)


def chosen_method(choice: Choice, propagators: Sequence[Propagator], rules: Rules) -> tuple[Method, str]:
    """The method, and why: for a small or narrow field a free line is no good instrument."""
    if choice is not Choice.BY_FIELD:
        return Method(choice.value), "Chosen, not left to the field."
    count = people_in(propagators)
    if count < rules.line_propagators:
        return Method.PROPORTIONAL, (
            f"A small field: {counted(count)}; a free line is taken from {rules.line_propagators} on."
        )
    spread = pstdev({each.person or each.key: each.rating for each in propagators}.values())
    if spread < rules.line_spread:
        return Method.PROPORTIONAL, (
            f"A narrow field: ratings spread by {spread:.0f} points; a free line is taken from"
            f" {rules.line_spread} on."
        )
    return Method.LINE, f"{counted(count)} whose ratings spread by {spread:.0f} points carry a free line."


def proportional_ssa(propagators: Sequence[Propagator], scratch: int, proportion: int) -> Fraction:
    """SSA of the one-parameter line: mean score x 480 / (1480 - mean rating).

    Inferred from result records of 2025, not published. Raises ValueError without propagators.
    """
    if not propagators:
        raise ValueError("An average needs at least one propagator.")
    throws = sum(player.score for player in propagators)
    gaps = sum(scratch + proportion - player.rating for player in propagators)
    return Fraction(throws * proportion, gaps)


def _refusal(base: RoundRating, rules: Rules, wanted: Wanted) -> str:
    if base.holes < rules.holes:
        return f"Rounds of fewer than {rules.holes} holes are not rated; this has {base.holes}."
    if base.method is Method.FIXED:
        return "" if wanted.ssa is not None else "Type the scratch scoring average that is to be used."
    if base.people < rules.fewest:
        few = f"{base.people} of at least {rules.fewest}"
        return f"Too few propagators to rate this round: {few}."
    return ""


def _measured(base: RoundRating, wanted: Wanted, rules: Rules, scratch: int) -> RoundRating:
    if base.method is Method.FIXED:
        assert wanted.ssa is not None
        return replace(base, ssa=_thousandths(wanted.ssa))
    if base.method is Method.PROPORTIONAL:
        ssa = proportional_ssa(base.propagators, scratch, rules.proportion)
        return replace(base, ssa=_thousandths(ssa))
    line = least_squares(
        [player.rating for player in base.propagators], [player.score for player in base.propagators]
    )
    # The line's own error takes each round for another player's: with several of one player it is too small.
    own_error = None if base.repeats else line.standard_error_at(scratch)
    return replace(base, line=line, ssa=_thousandths(line.at(scratch)), ssa_se=own_error)


def _finished(
    measured: RoundRating, players: Sequence[Played], rules: Rules, constants: Constants, seed: int | None
) -> RoundRating:
    ssa = measured.ssa
    assert ssa is not None
    points = points_per_throw(ssa, constants, measured.holes)
    if ssa <= 0 or points <= 0:
        shown = to_places(ssa, 3)
        return replace(
            measured, refused=f"A scratch scoring average of {shown} is outside every published range."
        )
    drawn = None if seed is None else _drawn(measured, rules, constants.scratch, seed)
    repeats = measured.line is not None and measured.repeats and drawn is not None
    rated = replace(
        measured,
        drawn=drawn,
        ssa_se=drawn.se if repeats and drawn is not None else measured.ssa_se,
        points_per_throw=points,
        ratings=_ratings(players, ssa, points, constants, drawn, measured.holes),
    )
    return replace(
        rated, warnings=warnings_of(rated, rules, constants), working=working_of(rated, rules, constants)
    )


def _drawn(measured: RoundRating, rules: Rules, scratch: int, seed: int) -> Drawn | None:
    """A fixed average has nothing to be drawn anew."""
    if measured.method is Method.FIXED:
        return None
    return draw(
        measured.propagators,
        scratch=scratch,
        proportion=rules.proportion if measured.method is Method.PROPORTIONAL else None,
        seed=seed,
        resamples=rules.resamples,
        percent=rules.percent,
    )


def _ratings(
    players: Sequence[Played],
    ssa: Fraction,
    points: Fraction,
    constants: Constants,
    drawn: Drawn | None,
    holes: int,
) -> tuple[Rated, ...]:
    played = [(each, each.score) for each in players if each.rateable and each.score is not None]
    scores = {score for _, score in played}
    worth = {score: round_rating(ssa, score, points, constants) for score in scores}
    spans = rating_intervals(drawn, sorted(scores), constants, holes) if drawn else {}
    return tuple(
        Rated(each.key, each.name, score, worth[score], *spans.get(score, (None, None)))
        for each, score in played
    )


def _thousandths(value: Fraction) -> Fraction:
    return Fraction(to_places(value, 3))
