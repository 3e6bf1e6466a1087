"""Writing the draw: pools, drafts, publishing. Changes by hand are in editing.py."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Max

from events.course.models import Layout
from events.course.queries import HoleFacts, LayoutFacts, layouts_of
from events.course.services import lock_layouts
from events.draw.candidates import Candidate
from events.draw.changes import compare
from events.draw.checks import Severity
from events.draw.grouping import Draw, DrawnGroup, NotEnoughPlaces, draw_by_rating, draw_by_score, draw_random
from events.draw.models import Group, Pool, Seat, Sheet
from events.draw.pools import Fill, PoolSplit, SplitBy, split_into_pools
from events.draw.pools import Pool as PoolPlan
from events.draw.queries import (
    Totals,
    breaches,
    candidates,
    company_before,
    draft_of,
    lines_of,
    published_of,
    size_rule,
    view_of,
)
from events.draw.starts import Start, TeePosition, TooManyGroups, UnknownStart, place_shotgun, place_tee_times
from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.models import Round, StartType
from events.setup.queries import rulebook_for


class DrawRefused(Exception):
    """The draw cannot be made or published as asked; the message is a sentence for the page."""


class SheetStale(DrawRefused):
    """Somebody else changed the draft since the page was shown."""


@transaction.atomic
def ensure_pools(round: Round) -> list[Pool]:
    """The pools of a round in the order of play; one with every division where none was planned."""
    pools = list(
        Pool.objects.filter(round=round).order_by("first_start_at", "label").prefetch_related("divisions")
    )
    if pools:
        return pools
    pool = Pool.objects.create(
        round=round,
        label="A",
        start_type=round.start_type,
        first_start_at=round.first_start_at,
        interval_minutes=round.interval_minutes,
    )
    pool.divisions.set(round.event.divisions.filter(dropped_at__isnull=True))
    return [pool]


@dataclass(frozen=True, slots=True)
class _Placed:
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


@transaction.atomic
def make_draw(
    *,
    round: Round,
    method: Sheet.Method,
    seed: str,
    actor: Actor,
    now: datetime,
    totals: Totals | None = None,
    only_checked_in: bool = False,
) -> Sheet:
    """Draw a round into a draft, which takes the place of an earlier draft.

    `totals`: entry id → throws of each earlier round, oldest first (None: no card), for drawing by score.
    The same field and the same seed give the same draft. Raises DrawRefused.
    """
    method = Sheet.Method(method)
    rulebook = rulebook_for(round.event)
    people = candidates(round, rulebook, totals=totals, only_checked_in=only_checked_in)
    if not people:
        raise DrawRefused(
            "Nobody is there to be drawn: no entry is confirmed"
            + (" and checked in." if only_checked_in else ".")
        )
    _refuse_without_layout(people)
    if method is Sheet.Method.SCORE and totals is None:
        raise DrawRefused("There are no scores yet to draw by.")
    layouts = layouts_of(round.event)
    pools = ensure_pools(round)
    split = _split(pools, people, method)
    notes = list(split.notes)
    drawn: dict[int, tuple[DrawnGroup, ...]] = {}
    for number, pool in enumerate(pools, start=1):
        found = _draw_pool(pool, split.members[number], method, seed, round, rulebook, layouts)
        drawn[pool.pk] = found.groups
        notes += [f"{pool}: {note}" if len(pools) > 1 else note for note in found.notes]
    placed = _place(pools, drawn, layouts, best_last=method is Sheet.Method.SCORE)
    sheet = _write_draft(round, method, seed, notes, placed, actor, now)
    record(
        chain=round.event.slug,
        action=Action.DRAW_MADE,
        subject=str(round),
        actor=actor,
        now=now,
        detail={
            "method": method.value,
            "seed": seed,
            "players": len(people),
            "groups": len(placed),
            "only_checked_in": only_checked_in,
        },
    )
    return sheet


def _refuse_without_layout(people: Sequence[Candidate]) -> None:
    without = sorted({person.division for person in people if person.layout is None})
    if without:
        raise DrawRefused(f"No layout is chosen in this round for {', '.join(without)}.")


def _split(pools: Sequence[Pool], people: Sequence[Candidate], method: Sheet.Method) -> PoolSplit:
    plans = [
        PoolPlan(number, None, frozenset(division.code for division in pool.divisions.all()))
        for number, pool in enumerate(pools, start=1)
    ]
    by_score = method is Sheet.Method.SCORE
    return split_into_pools(
        people,
        plans,
        by=SplitBy.SCORE if by_score else SplitBy.RATING,
        fill=Fill.BALANCED,
        best_last=by_score and all(pool.start_type == StartType.TEE_TIMES for pool in pools),
    )


def _draw_pool(
    pool: Pool,
    people: Sequence[Candidate],
    method: Sheet.Method,
    seed: str,
    round: Round,
    rulebook: Rulebook,
    layouts: Mapping[int, LayoutFacts],
) -> Draw:
    rule = size_rule(rulebook, pool.groups_of)
    places: dict[int | None, int] | None = None
    if pool.start_type == StartType.SHOTGUN and not pool.second_groups:
        places = {pk: len({hole.tee for hole in facts.holes}) for pk, facts in layouts.items()}
    try:
        if method is Sheet.Method.RANDOM:
            avoid = company_before(round) if round.event.avoid_repeats else frozenset()
            return draw_random(people, f"{seed}/{pool.label}", rule=rule, places=places, avoid=avoid)
        if method is Sheet.Method.RATING:
            return draw_by_rating(people, rule=rule, places=places)
        return draw_by_score(people, rule=rule, places=places)
    except NotEnoughPlaces as error:
        raise DrawRefused(
            f"{_titled(pool)}: {error} Use tee times, another pool, or larger groups."
        ) from None


def _place(
    pools: Sequence[Pool],
    drawn: Mapping[int, tuple[DrawnGroup, ...]],
    layouts: Mapping[int, LayoutFacts],
    *,
    best_last: bool,
) -> list[_Placed]:
    """Give every group its start. Shotgun pools of one moment share the course, so they are placed together."""
    tees = [_tee_position(hole) for facts in layouts.values() for hole in facts.holes]
    placed: list[_Placed] = []
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
        placed += [_Placed(pool, group, starts[index]) for index, (pool, group) in enumerate(line)]
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
) -> list[_Placed]:
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
    return [_Placed(pool, groups[start.group_index], start) for start in starts]


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


def _write_draft(
    round: Round,
    method: Sheet.Method,
    seed: str,
    notes: list[str],
    placed: Sequence[_Placed],
    actor: Actor,
    now: datetime,
) -> Sheet:
    Sheet.objects.filter(round=round, state=Sheet.State.DRAFT).delete()
    sheet = Sheet.objects.create(
        round=round,
        version=next_version(round),
        method=method,
        seed=seed,
        notes=notes,
        made_at=now,
        made_by=actor.name,
    )
    start_ids = _start_ids(round)
    groups = Group.objects.bulk_create(
        Group(
            sheet=sheet,
            number=number,
            pool=one.pool,
            layout_id=one.layout_id,
            start_id=start_ids[one.start.layout, one.start.position],
            starts_at=one.starts_at,
            second=one.start.second,
            how=one.drawn.reason[:300],
        )
        for number, one in enumerate(placed, start=1)
    )
    Seat.objects.bulk_create(
        Seat(sheet=sheet, group=group, entry_id=member.key, order=order)
        for group, one in zip(groups, placed, strict=True)
        for order, member in enumerate(one.drawn.members, start=1)
    )
    return sheet


def _start_ids(round: Round) -> dict[tuple[int | None, int], int]:
    return {
        (hole.layout, hole.position): hole.id
        for facts in layouts_of(round.event).values()
        for hole in facts.holes
    }


def next_version(round: Round) -> int:
    return (Sheet.objects.filter(round=round).aggregate(last=Max("version"))["last"] or 0) + 1


@transaction.atomic
def publish(
    *, sheet: Sheet, actor: Actor, now: datetime, reason: str = "", revision: int | None = None
) -> Sheet:
    """Freeze a draft as the round's tee sheet; the one before is kept as superseded.

    A later version needs a reason. What cannot be (a player twice, two layouts in a group) is refused; what a
    rule advises against goes out as it is, kept with a reason or not. Raises DrawRefused, SheetStale.
    """
    sheet = Sheet.objects.select_for_update(of=("self",)).select_related("round__event").get(pk=sheet.pk)
    if sheet.state != Sheet.State.DRAFT:
        raise DrawRefused("Only a draft is published.")
    if revision is not None and revision != sheet.revision:
        raise SheetStale("Somebody else changed the draft meanwhile. Look again, then publish.")
    view = view_of(sheet)
    rulebook = rulebook_for(sheet.round.event)
    impossible = [
        breach.text
        for breach in breaches(view, candidates(sheet.round, rulebook), rulebook)
        if breach.severity is Severity.IMPOSSIBLE
    ]
    if impossible:
        raise DrawRefused(" ".join(impossible))
    before = published_of(sheet.round)
    if before is not None and not reason.strip():
        raise DrawRefused("A published sheet is changed: say why.")
    changes = [change.text for change in compare(lines_of(view_of(before)), lines_of(view))] if before else []
    if before is not None:
        before.state = Sheet.State.SUPERSEDED
        before.save(update_fields=["state"])
    sheet.state, sheet.published_at, sheet.published_by = Sheet.State.PUBLISHED, now, actor.name
    sheet.reason, sheet.undo = reason, []
    sheet.save(update_fields=["state", "published_at", "published_by", "reason", "undo"])
    lock_layouts(layouts=list(Layout.objects.filter(groups__sheet=sheet).distinct()), now=now)
    record(
        chain=sheet.round.event.slug,
        action=Action.DRAW_PUBLISHED,
        subject=f"{sheet.round}, version {sheet.version}",
        actor=actor,
        now=now,
        detail={"groups": len(view.groups), "players": view.players, "changes": changes},
        reason=reason,
    )
    return sheet


@transaction.atomic
def reopen(*, round: Round, actor: Actor, now: datetime) -> Sheet:
    """A new draft that starts from the published sheet. An existing draft is returned as it is."""
    standing = draft_of(round)
    if standing is not None:
        return standing
    published = published_of(round)
    if published is None:
        raise DrawRefused("Nothing is published yet.")
    draft = Sheet.objects.create(
        round=round,
        version=next_version(round),
        method=published.method,
        seed=published.seed,
        notes=published.notes,
        accepted=published.accepted,
        made_at=now,
        made_by=actor.name,
    )
    copies = {}
    for group in published.groups.all():
        old, group.pk, group.sheet = group.pk, None, draft
        group._state.adding = True
        group.save()
        copies[old] = group
    Seat.objects.bulk_create(
        Seat(sheet=draft, group=copies[seat.group_id], entry_id=seat.entry_id, order=seat.order)
        for seat in published.seats.all()
    )
    return draft
