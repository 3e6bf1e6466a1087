"""The rulebook's figures of the round ratings, for tests that need no event."""

from datetime import date

from events.rulebook.loader import in_force
from events.rulebook.values import ELSEWHERE, Override
from scoring.ratings.compression import Constants
from scoring.ratings.rules import constants_from


def constants(choice: str) -> Constants:
    """The formula named in the rulebook: "formula_2013" or "refit_2025"."""
    chosen = Override(choice, "to test it")
    return constants_from(in_force(date(2025, 6, 7), ELSEWHERE, {"rating.compression.choice": chosen}))


FORMULA_2013 = constants("formula_2013")
REFIT_2025 = constants("refit_2025")
