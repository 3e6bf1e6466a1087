"""The figures of the rulebook as the rating modules take them. No query."""

from fractions import Fraction

from events.rulebook.loader import Rulebook
from scoring.ratings.compression import Constants
from scoring.ratings.course import Band, CourseRules
from scoring.ratings.player import PlayerRules
from scoring.ratings.propagators import Rules
from scoring.ratings.round_rating import Choice

REFIT = "refit_2025"
EDITIONS = ("formula_2013", REFIT)
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
        proportion=book.int("rating.proportion"),
        line_propagators=book.int("rating.line_needs.propagators"),
        line_spread=book.int("rating.line_needs.spread"),
        percent=book.int("rating.interval_percent"),
        resamples=book.int("rating.resamples"),
        outlier=book.int("rating.outlier"),
    )


def constants_from(book: Rulebook, edition: str | None = None) -> Constants:
    """Points per throw by `edition`, else as the rulebook chooses: the formula of 2013, or the refit.

    The refit was fitted on averages of 58.9 to 66.2 only, so it has the lower piece of 2013 and bends where
    the two pieces meet: the whole stays continuous. Raises ValueError for an edition that there is not.
    """
    edition = edition or book.text("rating.compression.choice")
    if edition not in EDITIONS:
        raise ValueError(f"There is no edition {edition}: choose one of {', '.join(EDITIONS)}.")
    below_slope = Fraction(book.decimal(f"{_2013}.below_slope"))
    below = Fraction(book.decimal(f"{_2013}.below_intercept"))
    if edition == REFIT:
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
        edition=edition,
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


def choice_from(book: Rulebook) -> Choice:
    """How the scratch scoring average is had, where the director decided nothing for a pool."""
    return Choice(book.text("rating.method"))


def player_rules_from(book: Rulebook) -> PlayerRules:
    """How a player's rating is had from their rounds."""
    return PlayerRules(
        window=book.int("rating.player.years.window"),
        longest=book.int("rating.player.years.longest"),
        fewest=book.int("rating.player.rounds.fewest"),
        double_from=book.int("rating.player.rounds.double_from"),
        double_percent=book.int("rating.player.double_percent"),
        drop_from=book.int("rating.player.rounds.drop_from"),
        drop_deviations=Fraction(book.decimal("rating.player.drop_deviations")),
        drop_points=book.int("rating.player.drop_points"),
        rounding=book.text("rating.player.rounding"),
    )


def course_rules_from(book: Rulebook) -> CourseRules:
    """Skill bands, and what a hole's figures need."""
    bands = [Band(name, book.int(f"rating.skill_bands.{name}")) for name in ("gold", "blue", "white", "red")]
    return CourseRules(
        bands=(*bands, Band("green", 0)),
        fewest_of_band=book.int("rating.course.fewest.band"),
        fewest_of_hole=book.int("rating.course.fewest.hole"),
        close=book.decimal("rating.course.close"),
    )
