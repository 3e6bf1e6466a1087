"""The figures of the rulebook as the rating modules take them. No query."""

from fractions import Fraction

from events.rulebook.loader import Rulebook
from scoring.ratings.compression import Constants
from scoring.ratings.estimate import Method
from scoring.ratings.propagators import Rules

REFIT = "refit_2025"
NEAREST = "nearest"
_2013 = "rating.compression.formula_2013"
_REFIT = "rating.compression.refit_2025"


def rules_from(book: Rulebook) -> Rules:
    """Who is a propagator, how many it takes, and between which bounds a throw counts."""
    return Rules(
        rating_above=book.int("rating.propagator_above"),
        rated_rounds=book.int("rating.propagator_rounds"),
        years_before=book.int("rating.propagator_years"),
        fewest=book.int("rating.propagators_unofficial"),
        advised=book.int("rating.propagators_official"),
        holes=book.int("rating.holes_at_least"),
        points_low=book.int("rating.points_per_throw.from"),
        points_high=book.int("rating.points_per_throw.to"),
    )


def constants_from(book: Rulebook) -> Constants:
    """Points per throw as the rulebook chooses: the formula of 2013, or the refit.

    The refit was fitted on averages of 58.9 to 66.2 only, so it has the lower piece of 2013 and bends where
    the two pieces meet: the whole stays continuous.
    """
    below_slope = Fraction(book.decimal(f"{_2013}.below_slope"))
    below = Fraction(book.decimal(f"{_2013}.below_intercept"))
    if book.text("rating.compression.choice") == REFIT:
        slope = Fraction(book.int(f"{_REFIT}.above_slope_ninths"), 9)
        above = Fraction(book.decimal(f"{_REFIT}.above_intercept"))
        bend = (below - above) / (slope - below_slope)
        name, source = "2025 refit", book.value(f"{_REFIT}.above_intercept").document
    else:
        slope = Fraction(book.decimal(f"{_2013}.above_slope"))
        above = Fraction(book.decimal(f"{_2013}.above_intercept"))
        bend = Fraction(book.decimal(f"{_2013}.break_ssa"))
        name, source = "2013", book.value(f"{_2013}.above_intercept").document
    return Constants(
        name=name,
        source=f"{source}; inferred from results, not an official formula",
        bend=bend,
        upper_slope=slope,
        upper_intercept=above,
        lower_slope=below_slope,
        lower_intercept=below,
        scratch=book.int("rating.scratch"),
        full_round=book.int("rating.scale_to_holes"),
        cut_off=book.text("rating.rounding") != NEAREST,
    )


def method_from(book: Rulebook) -> Method:
    """How the scratch scoring average is had. Raises ValueError for a word that is no method."""
    return Method(book.text("rating.method"))
