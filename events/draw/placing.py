"""From the people of a round to groups on their starts: pools, groups and tees, before anything is written."""

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from events.course.queries import HoleFacts, LayoutFacts
from events.draw.across import draw_by_score_across, draw_random_across
from events.draw.candidates import Candidate
from events.draw.drawn import Draw, DrawnGroup
from events.draw.field import company_before
from events.draw.grouping import draw_by_rating, draw_by_score, draw_random
from events.draw.models import Pool, Sheet
from events.draw.pools import Fill, PoolSplit, SplitBy, split_into_pools
from events.draw.pools import Pool as PoolPlan
from events.draw.queries import size_rule
from events.draw.sizes import NotEnoughPlaces
from events.draw.starts import Start, TeePosition, TooManyGroups, UnknownStart, place_shotgun, place_tee_times
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round, StartType

_POOL_INDEX = re.compile(r"pool (\d+)")  # the pure split counts pools, people call them by their labels


class DrawRefused(Exception):
    """The draw cannot be made or published as asked; the message is a sentence for the page."""


def refuse_when_over(event: Event) -> None:
    """Raises DrawRefused for an event that was declared over."""
    if event.over_at is not None:
        raise DrawRefused("The event is over: its draw does not change any more.")


def claim_round(round: Round) -> Round:
    """The round, held until the transaction ends: who draws, plans or moves it goes after whoever does so (1 query).

    Raises DrawRefused when the event is over."""
    held = Round.objects.select_for_update(of=("self",)).select_related("event").get(pk=round.pk)
    refuse_when_over(held.event)
    return held


@dataclass(frozen=True, slots=True)
class Placed:
    """A drawn group with its pool and its start."""

    pool: Pool
    drawn: DrawnGroup
    start: Start

    @property
    def layout_id(self) -> int:
        if self.start.layout is None:  # nobody without a layout is drawn
            raise ValueError("a group has a layout")
        return self.start.layout

    @property
    def starts_at(self) -> datetime:
        return self.pool.first_start_at + timedelta(minutes=self.start.minute_offset)


def split(pools: Sequence[Pool], people: Sequence[Candidate], method: Sheet.Method) -> PoolSplit:
    """Who plays in which pool; the keys of `members` are indices in `pools`. Raises NoPool."""
    plans = [
        PoolPlan(index, None, frozenset(division.code for division in pool.divisions.all()))
        for index, pool in enumerate(pools)
    ]
    found = split_into_pools(
        people,
        plans,
        by=SplitBy.SCORE if method.by_score else SplitBy.RATING,
        fill=Fill.BALANCED,
        best_last=method.by_score and all(pool.start_type == StartType.TEE_TIMES for pool in pools),
    )
    notes = (_POOL_INDEX.sub(lambda at: f"pool {pools[int(at[1])].label}", note) for note in found.notes)
    return PoolSplit(found.members, tuple(notes))


def pool_seed(seed: str, label: str) -> str:
    """Each pool draws with a seed of its own, so that a change in one leaves the others alone."""
    return f"{seed}/{label}"


def draw_pool(
    pool: Pool,
    people: Sequence[Candidate],
    method: Sheet.Method,
    seed: str,
    round: Round,
    rulebook: Rulebook,
    layouts: Mapping[int, LayoutFacts],
) -> Draw:
    """The groups of one pool, best or first one first. Raises DrawRefused where they cannot all start."""
    rule = size_rule(rulebook, pool.groups_of)
    places: dict[int | None, int] | None = None
    if pool.start_type == StartType.SHOTGUN and not pool.second_groups:
        places = {pk: len({hole.tee for hole in facts.holes}) for pk, facts in layouts.items()}
    try:
        if method is Sheet.Method.RANDOM:
            avoid = company_before(round) if round.event.avoid_repeats else frozenset()
            return draw_random(people, pool_seed(seed, pool.label), rule=rule, places=places, avoid=avoid)
        if method is Sheet.Method.RATING:
            return draw_by_rating(people, rule=rule, places=places)
        if method is Sheet.Method.RANDOM_ALL:
            return draw_random_across(people, pool_seed(seed, pool.label), rule=rule, places=places)
        if method is Sheet.Method.SCORE_ALL:
            return draw_by_score_across(people, rule=rule, places=places)
        return draw_by_score(people, rule=rule, places=places)
    except NotEnoughPlaces as error:
        raise DrawRefused(
            f"{_titled(pool)}: {error} Use tee times, another pool, or larger groups."
        ) from None


def place(
    pools: Sequence[Pool],
    drawn: Mapping[int, tuple[DrawnGroup, ...]],
    layouts: Mapping[int, LayoutFacts],
    *,
    best_last: bool,
) -> list[Placed]:
    """Give every group its start. Shotgun pools of one moment share the course, so they are placed together."""
    tees = [_tee_position(hole) for facts in layouts.values() for hole in facts.holes]
    placed: list[Placed] = []
    together: defaultdict[datetime, list[Pool]] = defaultdict(list)
    for pool in pools:
        if pool.start_type == StartType.SHOTGUN:
            together[pool.first_start_at].append(pool)
        else:
            placed += _place_times(pool, drawn[pool.pk], tees, layouts, best_last=best_last)
    for simultaneous in together.values():
        line = [(pool, group) for pool in simultaneous for group in drawn[pool.pk]]
        second = any(pool.second_groups for pool in simultaneous)
        try:
            starts = place_shotgun([group.layout for _, group in line], tees, second_allowed=second)
        except (TooManyGroups, UnknownStart) as error:
            where = " and ".join(_titled(pool) for pool in simultaneous)
            raise DrawRefused(f"{where}: {error} Use tee times or another pool.") from None
        placed += [Placed(pool, group, starts[index]) for index, (pool, group) in enumerate(line)]
    order = {pool.pk: index for index, pool in enumerate(pools)}
    placed.sort(
        key=lambda one: (
            one.starts_at,
            order[one.pool.pk],
            one.start.layout or 0,
            one.start.position,
            one.start.second,
        )
    )
    return placed


def _place_times(
    pool: Pool,
    groups: Sequence[DrawnGroup],
    tees: Sequence[TeePosition],
    layouts: Mapping[int, LayoutFacts],
    *,
    best_last: bool,
) -> list[Placed]:
    wanted = [label.strip() for label in pool.start_labels.split(",") if label.strip()]
    starting = {
        pk: [hole.position for label in wanted for hole in facts.holes if hole.label == label]
        for pk, facts in layouts.items()
    }
    played = {group.layout for group in groups if group.layout is not None}
    for label in wanted:
        if not any(hole.label == label for pk in played for hole in layouts[pk].holes):
            raise DrawRefused(f"{_titled(pool)}: no layout in play has a hole {label} to start from.")
    starts = place_tee_times(
        [group.layout for group in groups],
        tees,
        interval=pool.interval_minutes,
        starting={pk: positions for pk, positions in starting.items() if positions},
        gap_after=pool.gap_after,
        gap_minutes=pool.gap_minutes,
        best_last=best_last,
    )
    return [Placed(pool, groups[start.group_index], start) for start in starts]


def _tee_position(hole: HoleFacts) -> TeePosition:
    return TeePosition(
        layout=hole.layout,
        position=hole.position,
        label=hole.label,
        tee=hole.tee,
        par=hole.par,
        length_m=hole.length_m,
        walk_minutes=hole.walk_minutes,
    )


def _titled(pool: Pool) -> str:
    return f"Pool {pool.label}"
