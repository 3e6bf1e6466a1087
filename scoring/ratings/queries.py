"""Round ratings of an event, each with its working.

`ratings_of(event)` is what reports and prints read: a list of `PoolRating`, one for each layout, round (or rounds that
the director joined) and conditions, with at least one complete card. Of each:

    pool.key, pool.title          its address, and its words ("Round 1, Upper, starts from 13:00")
    pool.rating                   a `RoundRating`: method, edition, ssa, ssa_se, drawn (interval), points_per_throw,
                                  propagators, excluded, warnings, working (sentences), refused ("" if rated)
    pool.rating.ratings           a `Rated` for each rated round: key, name, score, rating, low, high
    pool.members[rated.key]       a `Member`: entry_id, round, division
    pool.said                     the director's decisions for it: what, reason, by, at

Always an estimate: show `pool.rating.label` beside every figure.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import time

from events.course.queries import LayoutFacts
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from events.setup.queries import rulebook_for
from scoring.penalties.queries import not_played_in
from scoring.ratings.bootstrap import seed_of
from scoring.ratings.decided import Decisions, decisions_of
from scoring.ratings.estimate import rate_round
from scoring.ratings.estimate_words import rounds_words
from scoring.ratings.joining import Differ, differ
from scoring.ratings.pools import Member, NotPlayed, Pool, pools_of
from scoring.ratings.propagators import Played, Propagator
from scoring.ratings.round_rating import Choice, RoundRating, Said, Wanted
from scoring.ratings.rules import choice_from, constants_from, rules_from
from scoring.standings.loading import Facts, load


@dataclass(frozen=True, slots=True)
class PoolRating:
    """One pool. `played` are all its players' rounds, `members` says whose each key is; `labels` are the holes that
    count; `starts` the starting times in it; `differ` compares its rounds, or those of its
    layout where it has one; None where there are no two."""

    key: str
    rounds: tuple[int, ...]
    layout: LayoutFacts
    labels: tuple[str, ...]
    par: int
    conditions: str
    played: tuple[Played, ...]
    members: dict[str, Member]
    starts: tuple[time, ...]
    rating: RoundRating
    said: tuple[Said, ...]
    differ: Differ | None = None

    @property
    def title(self) -> str:
        title = f"{rounds_words(self.rounds).capitalize()}, {self.layout.name}"
        if self.stopped:
            title += f", {len(self.labels)} of {len(self.layout.holes)} holes"
        return f"{title}, {self.conditions}" if self.conditions else title

    @property
    def labels_of_layout(self) -> tuple[str, ...]:
        """Of all its holes, those that do not count too."""
        return tuple(hole.label for hole in self.layout.holes)

    @property
    def complete(self) -> int:
        return sum(player.score is not None for player in self.played)

    @property
    def stopped(self) -> bool:
        return len(self.labels) != len(self.layout.holes)


def differ_words(found: Differ | None, book: Rulebook) -> str:
    """Whether rounds differ, and by which test; "" where there is nothing to compare."""
    if found is None:
        return ""
    percent = book.int("rating.pools_differ_percent")
    verdict = {
        True: f"So the rounds differ ({percent} in 100 is the bound): rate them apart.",
        False: "So no difference is shown.",
        None: "",
    }[found.differs(percent)]
    return f"{found.words} {verdict}".strip()


def ratings_of(event: Event, *, choice: Choice | None = None, edition: str | None = None) -> list[PoolRating]:
    """Every pool with at least one complete card, by round and layout (18 queries).

    `choice` and `edition` other than the decided ones may be asked for, to compare.
    """
    return ratings_from(
        load(event),
        rulebook_for(event),
        decisions_of(event),
        not_played_in(event),
        choice=choice,
        edition=edition,
    )


def ratings_from(
    facts: Facts,
    book: Rulebook,
    decisions: Decisions,
    not_played: NotPlayed,
    *,
    choice: Choice | None = None,
    edition: str | None = None,
) -> list[PoolRating]:
    """As `ratings_of`, from what was read already (no query)."""
    pools = [
        pool
        for pool in pools_of(facts, decisions, not_played)
        if any(each.score is not None for each in pool.played)
    ]
    rated = [_rated(facts, book, decisions, pool, choice, edition) for pool in pools]
    return [
        replace(
            pool,
            differ=compare(rated, pool.layout.id, pool.labels, pool.rounds if len(pool.rounds) > 1 else None),
        )
        for pool in rated
    ]


def _rated(
    facts: Facts,
    book: Rulebook,
    decisions: Decisions,
    pool: Pool,
    choice: Choice | None,
    edition: str | None,
) -> PoolRating:
    decided = decisions.methods.get(pool.key)
    wanted = decided[0] if decided else Wanted(choice_from(book))
    if choice is not None and choice is not wanted.choice:
        wanted = Wanted(choice)
    rating = rate_round(
        pool.played,
        rules=rules_from(book),
        constants=constants_from(book, edition),
        first_day=facts.event.starts_on,
        holes=len(pool.labels),
        wanted=wanted,
        left_out=pool.left_out,
        let_in=pool.let_in,
        seed=_seed(facts.event, pool),
    )
    return PoolRating(
        key=pool.key,
        rounds=pool.rounds,
        layout=pool.layout,
        labels=pool.labels,
        par=pool.par,
        conditions=pool.conditions,
        played=tuple(pool.played),
        members=pool.members,
        starts=tuple(sorted(pool.starts)),
        rating=rating,
        said=_said(facts, decisions, pool),
    )


def _seed(event: Event, pool: Pool) -> int:
    """By what the pool is, not by ids or addresses: an archive opened elsewhere gives the same intervals."""
    day = event.starts_on.isoformat()
    return seed_of(day, pool.layout.name, *pool.rounds, pool.conditions, " ".join(pool.labels))


def _said(facts: Facts, decisions: Decisions, pool: Pool) -> tuple[Said, ...]:
    said = []
    if pool.key in decisions.methods:
        said.append(decisions.methods[pool.key][1])
    joined = decisions.joined(pool.layout.id, pool.rounds[0])
    if len(pool.rounds) > 1:
        said.append(decisions.joins[pool.layout.id][1])
    if not joined <= set(pool.rounds):
        said.append(_apart(pool, joined, decisions.joins[pool.layout.id][1]))
    said += _ended(decisions, pool, joined)
    numbers = {round.number: round.pk for round in facts.rounds}
    if pool.conditions:
        said.append(decisions.splits[numbers[pool.rounds[0]], pool.layout.id][1])
    names = {each.key: each.name for each in pool.played}
    for key in sorted({*pool.left_out, *pool.let_in}):
        member = pool.members[key]
        row = decisions.players[numbers[member.round], member.entry_id]
        words = "Counts with holes not played" if row.counts else "Left out of the average"
        said.append(Said(f"{words}: {names[key]}, round {member.round}.", row.reason, row.by, row.at))
    return tuple(said)


def _ended(decisions: Decisions, pool: Pool, joined: Collection[int]) -> list[Said]:
    """A method that was chosen before a stop took holes or rounds out of the pool ends, and says so."""
    if pool.key in decisions.methods:
        return []
    before = dict.fromkeys(map(pool.key_of_all_holes, (pool.rounds, joined)))
    ended = [decisions.methods[key][1] for key in before if key in decisions.methods]
    newest = sorted(ended, key=lambda each: each.at)[-1:]
    return [
        replace(each, what=f"{each.what} It was chosen before the round was stopped and holds no longer.")
        for each in newest
    ]


def _apart(pool: Pool, joined: Collection[int], said: Said) -> Said:
    """Rounds share an average over the same holes alone; of a stopped round fewer count."""
    words = rounds_words(sorted(joined)).capitalize()
    here = rounds_words(pool.rounds)
    what = f"{words} were joined, but not the same holes of them count: these are of {here} alone."
    return replace(said, what=what)


def compare(
    pools: Sequence[PoolRating], layout: int, labels: tuple[str, ...], numbers: Collection[int] | None
) -> Differ | None:
    """Compare rounds of one layout over the same holes, all of them or those of `numbers`; None for fewer than two."""
    rounds: dict[int, list[Propagator]] = defaultdict(list)
    for pool in pools:
        if pool.layout.id != layout or pool.labels != labels:
            continue
        for each in pool.rating.propagators:
            number = pool.members[each.key].round
            if numbers is None or number in numbers:
                rounds[number].append(each)
    return differ(rounds) if len(rounds) > 1 else None
