"""Who is rated together: one pool for each layout, round and conditions, over all divisions. No query.

Rounds that the director joined are one pool; a round that the director split by starting time is several. Of a
stopped round the holes that everybody of a division finished are rated, together with the divisions of the same holes.
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import time

from events.course.queries import LayoutFacts
from events.entries.models import Entry, Status
from events.setup.models import Round
from scoring.cards.arithmetic import line_total
from scoring.ratings.decided import Decisions
from scoring.ratings.propagators import Finish, Played
from scoring.standings.loading import Facts


@dataclass(frozen=True, slots=True)
class Member:
    """Whose round a key of the pool is."""

    entry_id: int
    round: int
    division: str


@dataclass(slots=True)
class Pool:
    """`labels` are the holes that count, in layout order; `conditions` says which starts these are, "" for all."""

    rounds: tuple[int, ...]
    layout: LayoutFacts
    labels: tuple[str, ...]
    part: int
    conditions: str
    played: list[Played] = field(default_factory=list)
    members: dict[str, Member] = field(default_factory=dict)
    left_out: dict[str, str] = field(default_factory=dict)
    let_in: set[str] = field(default_factory=set)
    starts: set[time] = field(default_factory=set)

    @property
    def stopped(self) -> bool:
        return len(self.labels) != len(self.layout.holes)

    @property
    def key(self) -> str:
        """The same for the same rounds, layout, holes and conditions, for addresses and decisions."""
        key = self.key_of_all_holes(self.rounds)
        if self.stopped:
            digest = hashlib.sha256(" ".join(self.labels).encode()).hexdigest()[:6]
            key += f"-{len(self.labels)}holes{digest}"
        return key

    def key_of_all_holes(self, rounds: Iterable[int]) -> str:
        """The key that these rounds have, or had, while every hole of the layout counts."""
        key = f"{'.'.join(map(str, sorted(rounds)))}-{self.layout.id}"
        return f"{key}-part{self.part}" if self.conditions else key

    @property
    def par(self) -> int:
        return sum(hole.par for hole in self.layout.holes if hole.label in set(self.labels))


NotPlayed = Mapping[tuple[int, int], Mapping[str, int]]  # (round id, entry id) → hole → what it was scored


def pools_of(facts: Facts, decisions: Decisions, not_played: NotPlayed) -> list[Pool]:
    """Every pool that somebody played in, by first round and layout.

    Rounds that were joined are one pool as far as the same holes count of them; each pool names the rounds it holds.
    """
    found: dict[tuple[object, ...], Pool] = {}
    for round in facts.rounds:
        for entry in facts.entries:
            layout = facts.layout_for(round.pk, entry)
            if layout is None or not _in_pool(facts, round, entry):
                continue
            pool = _pool_for(facts, decisions, round, entry, layout)
            key = (pool.rounds, layout.id, pool.labels, pool.part)
            absent = _absent(facts, round, entry, layout, not_played.get((round.pk, entry.pk), {}))
            _add(found.setdefault(key, pool), facts, decisions, round, entry, absent)
    for pool in found.values():
        pool.rounds = tuple(sorted({member.round for member in pool.members.values()}))
    order = [layout.id for layout in facts.layouts.values()]
    return sorted(
        found.values(), key=lambda pool: (pool.rounds, order.index(pool.layout.id), pool.part, pool.labels)
    )


def _in_pool(facts: Facts, round: Round, entry: Entry) -> bool:
    """On the published sheet, or with a score without one (an imported list)."""
    return (round.pk, entry.pk) in facts.places or facts.line_of(round.pk, entry) is not None


def _pool_for(facts: Facts, decisions: Decisions, round: Round, entry: Entry, layout: LayoutFacts) -> Pool:
    common = facts.common_of(round.pk, entry)
    labels = tuple(hole.label for hole in layout.holes if common is None or hole.label in common)
    rounds = tuple(sorted(decisions.joined(layout.id, round.number)))
    part, conditions = 0, ""
    split = decisions.splits.get((round.pk, layout.id))
    if split is not None and len(rounds) == 1:
        part, conditions = _part(split[0], start_of(facts, round, entry))
    return Pool(rounds, layout, labels, part, conditions)


def start_of(facts: Facts, round: Round, entry: Entry) -> time | None:
    """The local time of the group's start; None where no tee sheet says one."""
    place = facts.places.get((round.pk, entry.pk))
    return (
        None if place is None else facts.event.local(place.starts_at).time().replace(second=0, microsecond=0)
    )


def _part(splits: Sequence[time], start: time | None) -> tuple[int, str]:
    """Which part a start belongs to; who has no start stands with the first."""
    part = 0 if start is None else sum(start >= each for each in splits)
    if part == 0:
        return 0, f"starts before {splits[0]:%H:%M}"
    until = f" and before {splits[part]:%H:%M}" if part < len(splits) else ""
    return part, f"starts from {splits[part - 1]:%H:%M}{until}"


def _absent(
    facts: Facts, round: Round, entry: Entry, layout: LayoutFacts, not_played: Mapping[str, int]
) -> int:
    """How many of the holes that count the player did not play, as far as what that was scored still stands."""
    line = facts.line_of(round.pk, entry)
    if line is None or not not_played:
        return 0
    common = facts.common_of(round.pk, entry)
    return sum(
        hole.label in not_played
        and not_played[hole.label] == score
        and (common is None or hole.label in common)
        for hole, score in zip(layout.holes, line.throws, strict=True)
    )


def _add(pool: Pool, facts: Facts, decisions: Decisions, round: Round, entry: Entry, absent: int) -> None:
    key = f"{entry.pk}-{round.number}"
    score = _score(facts, round, entry)
    pool.played.append(
        Played(
            key=key,
            name=entry.person.name,
            score=score,
            rating=entry.rating,
            rated_rounds=entry.rated_rounds,
            rating_date=entry.rating_date,
            finish=_finish(entry, score, nothing_played=0 < len(pool.labels) == absent),
            person=str(entry.pk),
            estimated=entry.rating_is_estimated,
            absent=absent,
        )
    )
    pool.members[key] = Member(entry.pk, round.number, entry.division.code)
    said = decisions.players.get((round.pk, entry.pk))
    if said is not None and said.counts:
        pool.let_in.add(key)
    elif said is not None:
        pool.left_out[key] = said.reason
    start = start_of(facts, round, entry)
    if start is not None:
        pool.starts.add(start)


def _score(facts: Facts, round: Round, entry: Entry) -> int | None:
    """The total over the holes that count, penalties and absence scores included; None for an unfinished round.

    Rounds that were completed count also for who did not finish the event, never for the disqualified
    (Competition Manual 2025, 5.06.B and D).
    """
    line = facts.line_of(round.pk, entry)
    if line is None or round not in facts.rounds_of(entry.division_id):
        return None
    throws, pars = facts.counts_of(round.pk, entry)
    if throws is None:
        return None
    sums = line_total(throws, pars, line.additional)
    return sums.total if sums.complete else None


def _finish(entry: Entry, score: int | None, *, nothing_played: bool) -> Finish:
    if entry.status == Status.DISQUALIFIED:
        return Finish.DISQUALIFIED
    if nothing_played:
        return Finish.NOT_PLAYED
    left = entry.status in {Status.DID_NOT_FINISH, Status.WITHDRAWN}
    return Finish.NOT_FINISHED if left and score is None else Finish.FINISHED
