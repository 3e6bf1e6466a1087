"""The rulebook's figures of the ratings, and made-up fields, for tests that need no event."""

from collections.abc import Sequence
from datetime import date, timedelta

from events.rulebook.loader import in_force
from events.rulebook.values import ELSEWHERE, Override
from scoring.ratings.compression import Constants
from scoring.ratings.player import Past
from scoring.ratings.propagators import Finish, Played, Propagator
from scoring.ratings.rules import (
    constants_from,
    course_rules_from,
    player_rules_from,
    rules_from,
)

BOOK = in_force(date(2025, 6, 7), ELSEWHERE)


def constants(choice: str) -> Constants:
    """The formula named in the rulebook: "formula_2013" or "refit_2025"."""
    chosen = Override(choice, "to test it")
    return constants_from(in_force(date(2025, 6, 7), ELSEWHERE, {"rating.compression.choice": chosen}))


FORMULA_2013 = constants("formula_2013")
REFIT_2025 = constants("refit_2025")
RULES = rules_from(BOOK)
PLAYER_RULES = player_rules_from(BOOK)
COURSE_RULES = course_rules_from(BOOK)
FIRST_DAY = date(2025, 6, 7)


def played(
    key: str, rating: int | None, score: int | None, finish: Finish = Finish.FINISHED, person: str = ""
) -> Played:
    """Somebody with 20 rated rounds and a fresh rating."""
    return Played(key, f"Name {key}", score, rating, 20, date(2025, 5, 13), finish, person)


def propagators(pairs: Sequence[tuple[int, int]]) -> list[Propagator]:
    """(rating, score) each of a player of their own."""
    return [Propagator(str(at), f"Name {at}", rating, score) for at, (rating, score) in enumerate(pairs)]


def history(ratings: Sequence[int | None], *, last: date = date(2025, 6, 1), apart: int = 7) -> list[Past]:
    """Rounds so many days apart, the last of them on `last`."""
    count = len(ratings)
    return [
        Past(last - timedelta(days=apart * (count - 1 - at)), at, rating) for at, rating in enumerate(ratings)
    ]
