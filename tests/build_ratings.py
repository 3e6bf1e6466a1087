"""The rulebook's figures of the ratings, made-up fields, and small events that were played."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import build
import build_cards
from events.entries.models import Entry
from events.rulebook.loader import in_force
from events.rulebook.values import ELSEWHERE, Override
from events.setup.models import Event
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


# Scores that lie on a line exactly: 10 rating points a throw, 60 at 1000.
FIELD = [(1000, 60), (970, 63), (940, 66), (900, 70), (880, 72), (850, 75)]
Score = int | list[int | None] | None


def entered(event: Event, rating: int | None, division: str = "MA1", **facts: Any) -> Entry:
    """Somebody with a settled rating, unless told otherwise."""
    facts.setdefault("rated_rounds", 20)
    facts.setdefault("rating_date", date(2026, 5, 12))
    person = build.make_person(given=f"Player {build._number.__next__()}", rating=rating)
    return build.make_entry(event, division, person=person, rating=rating, **facts)


def play(event: Event, scores: Sequence[tuple[Entry, Score]], number: int = 1, groups: int = 1) -> None:
    """Publish a sheet of so many groups and hand their cards in; a total stands for 18 holes that add up to it."""
    round_ = event.rounds.get(number=number)
    size = -(-len(scores) // groups)
    dealt = [scores[at : at + size] for at in range(0, len(scores), size)]
    build_cards.publish(round_, [[entry for entry, _ in group] for group in dealt])
    for at, group in enumerate(dealt, start=1):
        build_cards.save(round_, at, [build_cards.line(entry, _thrown(score)) for entry, score in group])


def _thrown(score: Score) -> list[int | None] | None:
    return [3] * 17 + [score - 51] if isinstance(score, int) else score


def play_field(
    event: Event, *, also: Sequence[tuple[Entry, Score]] = (), groups: int = 1, number: int = 1
) -> list[Entry]:
    """FIELD in two divisions in one round, and others with them; the entries of FIELD in its order."""
    divisions = ["MA1", "FA1"]
    entries = [entered(event, rating, divisions[at % 2]) for at, (rating, _) in enumerate(FIELD)]
    scores: list[tuple[Entry, Score]] = [
        (entry, total) for entry, (_, total) in zip(entries, FIELD, strict=True)
    ]
    play(event, [*scores, *also], number, groups)
    return entries
