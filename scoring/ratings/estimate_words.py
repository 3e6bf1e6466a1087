"""What a round's rating says of itself: its warnings and its working, in sentences. Pure."""

from collections.abc import Sequence
from fractions import Fraction

from scoring.ratings.compression import Constants, to_places
from scoring.ratings.propagators import Rules
from scoring.ratings.round_rating import RoundRating

WIDE_ERROR = 2.0  # throws of standard error from which we warn; the product's own bound, no source


def rounds_words(rounds: Sequence[int]) -> str:
    """ "round 2", "rounds 1, 2 and 3"."""
    numbers = [str(number) for number in rounds]
    if len(numbers) == 1:
        return f"round {numbers[0]}"
    return f"rounds {', '.join(numbers[:-1])} and {numbers[-1]}"


def counted(people: int, rounds: int | None = None) -> str:
    """ "20 propagators"; with `rounds` more than that, "20 propagators, 40 rounds"."""
    words = f"{people} {'propagator' if people == 1 else 'propagators'}"
    return words if rounds is None or rounds == people else f"{words}, {rounds} rounds"


def warnings_of(rated: RoundRating, rules: Rules, constants: Constants) -> tuple[str, ...]:
    """What makes this estimate weaker than it looks, each in a sentence."""
    found: list[str] = []
    fixed = rated.method == "fixed"
    if not fixed and rated.people < rules.advised:
        few = counted(rated.people, len(rated.propagators))
        found.append(f"Only {few}; official ratings take at least {rules.advised}.")
    if rated.line is not None and rated.line.slope >= 0:
        found.append("Higher-rated propagators did not need fewer throws; the line says little.")
    elif rated.line is not None and rated.people == 2:
        found.append("Two propagators always lie on a line; how far off it may be is not known.")
    if rated.ssa_se is not None and rated.ssa_se >= WIDE_ERROR:
        found.append(
            f"The scratch scoring average may be off by {rated.ssa_se:.1f} throws or more either way."
        )
    points = rated.points_per_throw
    if points is not None and not rules.points_low <= points <= rules.points_high:
        span = f"{rules.points_low} to {rules.points_high}"
        found.append(f"{to_places(points, 2)} points per throw is outside the published {span}.")
    if rated.holes != constants.full_round:
        found.append(
            f"Scaled from {constants.full_round} to {rated.holes} holes by our own rule; none is published."
        )
    return tuple(found)


def working_of(rated: RoundRating, rules: Rules, constants: Constants) -> tuple[str, ...]:
    """How the ratings came about, one step a sentence."""
    ssa, points = rated.ssa, rated.points_per_throw
    assert ssa is not None
    assert points is not None
    scratch = constants.scratch
    rounded = "rounded down" if constants.cut_off else "rounded to the nearest"
    return (
        f"{counted(rated.people, len(rated.propagators))}.",
        f"Method {rated.method}: {rated.why}",
        *_average(rated, rules, scratch, to_places(ssa, 3)),
        *_interval(rated),
        f"Points per throw = {to_places(points, 4)} ({constants.name}: {constants.source}).",
        f"Rating = {scratch} + (SSA − score) × points per throw, {rounded}.",
    )


def _average(rated: RoundRating, rules: Rules, scratch: int, shown: object) -> tuple[str, ...]:
    if rated.method == "fixed":
        return (f"SSA = {shown}, typed in.",)
    if rated.line is None:
        proportion = rules.proportion
        score, rating = (to_places(mean or Fraction(0), 2) for mean in (rated.mean_score, rated.mean_rating))
        return (
            f"SSA = mean score × {proportion} ÷ ({scratch + proportion} − mean rating)"
            f" = {score} × {proportion} ÷ ({scratch + proportion} − {rating}) = {shown}.",
            f"The {proportion} is inferred from results, published nowhere.",
        )
    slope, intercept = to_places(rated.line.slope, 5), to_places(rated.line.intercept, 3)
    by = " with the players drawn anew, as some have several rounds" if rated.repeats else ""
    spread = "" if rated.ssa_se is None else f", standard error {rated.ssa_se:.2f}{by}"
    sign = "+" if slope >= 0 else "−"
    return (
        f"Line: score = {_signed(intercept)} {sign} {_signed(abs(slope))} × rating.",
        f"SSA = line at {scratch} = {shown}{spread}.",
    )


def _interval(rated: RoundRating) -> tuple[str, ...]:
    if rated.drawn is None:
        return ()
    low, high = rated.drawn.ssa
    return (
        f"Interval: the propagators drawn anew {rated.drawn.resamples} times (seed {rated.drawn.seed}) gave"
        f" {low:.2f} to {high:.2f} in {rated.drawn.percent} of 100.",
    )


def _signed(value: object) -> str:
    return str(value).replace("-", "−")
