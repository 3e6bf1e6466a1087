"""Round ratings of an event: one pool for each round and layout, over all divisions."""

from dataclasses import dataclass

from events.course.queries import LayoutFacts
from events.entries.models import Entry, Status
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from scoring.cards.arithmetic import line_total
from scoring.ratings.estimate import Method, RoundRating, rate_round
from scoring.ratings.propagators import Finish, Played
from scoring.ratings.rules import constants_from, method_from, rules_from
from scoring.standings.loading import Facts, load


@dataclass(frozen=True, slots=True)
class PoolRating:
    """One round on one layout. `played` are all players of the pool, `divisions` their codes by key."""

    round: int
    layout: LayoutFacts
    played: tuple[Played, ...]
    divisions: dict[str, str]
    rating: RoundRating

    @property
    def key(self) -> str:
        return f"{self.round}-{self.layout.id}"

    @property
    def complete(self) -> int:
        return sum(player.score is not None for player in self.played)


def ratings_of(event: Event, *, method: Method | None = None) -> list[PoolRating]:
    """Every pool with at least one complete card, by round and layout (11 queries).

    `method` other than the rulebook's may be asked for, to compare.
    """
    return ratings_from(load(event), rulebook_for(event), method=method)


def ratings_from(facts: Facts, book: Rulebook, *, method: Method | None = None) -> list[PoolRating]:
    """As `ratings_of`, from what was read already (no query)."""
    found = [
        _pool(facts, book, round, layout, method or method_from(book))
        for round in facts.rounds
        for layout in facts.layouts.values()
    ]
    return [pool for pool in found if pool.complete]


def _pool(facts: Facts, book: Rulebook, round: Round, layout: LayoutFacts, method: Method) -> PoolRating:
    members = [entry for entry in facts.entries if _in_pool(facts, round, layout, entry)]
    played = tuple(_played(facts, round, layout, entry) for entry in members)
    rating = rate_round(
        played,
        rules=rules_from(book),
        constants=constants_from(book),
        first_day=facts.event.starts_on,
        holes=len(layout.holes),
        method=method,
    )
    divisions = {str(entry.pk): entry.division.code for entry in members}
    return PoolRating(round.number, layout, played, divisions, rating)


def _in_pool(facts: Facts, round: Round, layout: LayoutFacts, entry: Entry) -> bool:
    """On the published sheet, or with a score without one (an imported list)."""
    own = facts.layout_for(round.pk, entry)
    if own is None or own.id != layout.id:
        return False
    return (round.pk, entry.pk) in facts.places or facts.line_of(round.pk, entry) is not None


def _played(facts: Facts, round: Round, layout: LayoutFacts, entry: Entry) -> Played:
    """Rounds that were completed count also for who did not finish the event, never for the disqualified
    (Competition Manual 2025, 5.06.B and D). Of a stopped round nothing is estimated: its holes are not the layout's."""
    line = facts.line_of(round.pk, entry)
    sums = line_total(line.throws, layout.pars, line.additional) if line else None
    counts = round in facts.rounds_of(entry.division_id) and facts.common_of(round.pk, entry) is None
    score = sums.total if sums and sums.complete and counts else None
    return Played(
        key=str(entry.pk),
        name=entry.person.name,
        score=score,
        rating=entry.rating,
        rated_rounds=entry.rated_rounds,
        rating_date=entry.rating_date,
        finish=_finish(entry, score),
    )


def _finish(entry: Entry, score: int | None) -> Finish:
    if entry.status == Status.DISQUALIFIED:
        return Finish.DISQUALIFIED
    left = entry.status in {Status.DID_NOT_FINISH, Status.WITHDRAWN}
    return Finish.NOT_FINISHED if left and score is None else Finish.FINISHED
