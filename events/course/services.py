"""Writing layouts, and saying which division plays which."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import F, ProtectedError

from events.course.carrying import belongings, give_back
from events.course.grid import HoleRow, faults
from events.course.models import Hole, Layout, LayoutHole, LayoutUse, Target, Tee
from events.course.versions import freeze, freeze_before
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division, Event, Round
from events.setup.over import hold_open


class LayoutRefused(Exception):
    """The grid cannot become a layout; `sentences` say why."""

    def __init__(self, *sentences: str) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


class LayoutStale(LayoutRefused):
    """Somebody else saved the layout since this grid was opened."""


@transaction.atomic
def save_layout(
    *,
    event: Event,
    name: str,
    rows: Sequence[HoleRow],
    actor: Actor,
    now: datetime,
    layout: Layout | None = None,
    version: int | None = None,
    reason: str = "",
    touched: Sequence[str] = (),
) -> Layout:
    """Make a layout or replace its holes, in the order of `rows`.

    `version` is the one that the editor saw. A layout whose tee sheet has been published keeps its number of
    holes, and a change to it needs a reason and makes a new frozen version, which notes whom it `touched`.
    Raises LayoutRefused, also once the event is over, or LayoutStale.
    """
    hold_open(event, LayoutRefused)
    found = faults(rows)
    if not name.strip():
        found.insert(0, "A layout needs a name.")
    namesake = Layout.objects.filter(event=event, name=name).first()
    if namesake is not None and namesake != layout:
        found.insert(0, f"There is a layout named {name} already.")
    if found:
        raise LayoutRefused(*found)
    before = _as_json(layout) if layout else []
    owned = belongings(layout) if layout else None
    layout = _claim(event, name, layout, version, len(rows), reason)
    _write_holes(event, layout, rows)
    if owned is not None:
        give_back(layout, owned)
    _assign_the_only_one(event, layout)
    detail = {"before": before, "after": _as_json(layout), "version": layout.version}
    if layout.locked_at is not None:
        freeze(layout, by=actor.name, now=now, reason=reason, touched=touched)
        detail["touched"] = list(touched)
    record(
        chain=event.slug,
        action=Action.LAYOUT_CHANGED,
        subject=layout.name,
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
    return layout


def _assign_the_only_one(event: Event, layout: Layout) -> None:
    """Where there is one layout, everybody plays it in every round that is planned, without being asked."""
    if Layout.objects.filter(event=event).exclude(pk=layout.pk).exists():
        return
    played = set(LayoutUse.objects.filter(round__event=event).values_list("round_id", "division_id"))
    LayoutUse.objects.bulk_create(
        LayoutUse(round=round_, division=division, layout=layout)
        for round_ in event.rounds.all()
        for division in event.divisions.all()
        if (round_.pk, division.pk) not in played
    )


def _claim(
    event: Event,
    name: str,
    layout: Layout | None,
    version: int | None,
    holes: int,
    reason: str,
) -> Layout:
    if layout is None:
        return Layout.objects.create(event=event, name=name)
    if layout.locked_at is not None:
        if not reason.strip():
            raise LayoutRefused("This layout is in play. Say why it changes.")
        if holes != layout.layout_holes.count():
            raise LayoutRefused("This layout is in play: its number of holes stays.")
        freeze_before(layout)
    changed = Layout.objects.filter(pk=layout.pk, version=version or layout.version).update(
        name=name, version=F("version") + 1
    )
    if not changed:
        raise LayoutStale("Somebody else saved this layout meanwhile. Open it again and look.")
    layout.refresh_from_db()
    return layout


def _write_holes(event: Event, layout: Layout, rows: Sequence[HoleRow]) -> None:
    standing = {row.position: row for row in layout.layout_holes.all()}
    tees = {tee.name: tee for tee in event.tees.all()}
    targets = {target.name: target for target in event.targets.all()}
    holes = {(hole.tee_id, hole.target_id): hole for hole in event.holes.all()}
    # Labels may move between positions, so they step aside first: the label is unique within a layout.
    for place in standing.values():
        place.label = f"~{place.position}"
    LayoutHole.objects.bulk_update(standing.values(), ["label"])
    for position, row in enumerate(rows, start=1):
        tee = _tee(event, row, tees)
        target = _target(event, row, targets)
        hole = _hole(event, row, tee, target, holes)
        place = (
            standing.pop(position) if position in standing else LayoutHole(layout=layout, position=position)
        )
        place.label, place.par, place.note, place.hole = row.label, row.par, row.note, hole
        place.save()
    try:
        LayoutHole.objects.filter(pk__in=[place.pk for place in standing.values()]).delete()
    except ProtectedError:
        raise LayoutRefused(
            "A group of a tee sheet starts on a hole that would be removed. Draw again first."
        ) from None
    _drop_unused(event)


def _drop_unused(event: Event) -> None:
    """Holes in no layout go, then tees and targets of no hole: the list of shared tees names real ones only."""
    Hole.objects.filter(event=event, uses__isnull=True).delete()
    Tee.objects.filter(event=event, holes__isnull=True).delete()
    Target.objects.filter(event=event, holes__isnull=True).delete()


def _tee(event: Event, row: HoleRow, tees: dict[str, Tee]) -> Tee:
    tee = tees.get(row.tee_name)
    if tee is None:
        tee = tees[row.tee_name] = Tee.objects.create(
            event=event, name=row.tee_name, walk_minutes=row.walk_minutes
        )
    elif row.walk_minutes is not None and row.walk_minutes != tee.walk_minutes:
        tee.walk_minutes = row.walk_minutes
        tee.save(update_fields=["walk_minutes"])
    return tee


def _target(event: Event, row: HoleRow, targets: dict[str, Target]) -> Target:
    if row.target_name not in targets:
        targets[row.target_name] = Target.objects.create(event=event, name=row.target_name)
    return targets[row.target_name]


def _hole(event: Event, row: HoleRow, tee: Tee, target: Target, holes: dict[tuple[int, int], Hole]) -> Hole:
    hole = holes.get((tee.pk, target.pk))
    if hole is None:
        hole = Hole.objects.create(event=event, tee=tee, target=target, length_m=row.length_m)
        holes[tee.pk, target.pk] = hole
    elif row.length_m is not None and row.length_m != hole.length_m:
        hole.length_m = row.length_m
        hole.save(update_fields=["length_m"])
    return hole


def _as_json(layout: Layout) -> list[list[str | int | None]]:
    return [
        [place.label, place.par, place.hole.length_m, place.hole.tee.name, place.hole.target.name, place.note]
        for place in layout.layout_holes.select_related("hole__tee", "hole__target").order_by("position")
    ]


@transaction.atomic
def remove_layout(*, layout: Layout, actor: Actor, now: datetime) -> None:
    """Remove a layout that nobody plays. Raises LayoutRefused."""
    event, name = layout.event, layout.name
    hold_open(event, LayoutRefused)
    try:
        layout.delete()
    except ProtectedError:
        raise LayoutRefused(
            f"{name} is played in a round. Give those divisions another layout first."
        ) from None
    _drop_unused(event)
    record(
        chain=event.slug,
        action=Action.LAYOUT_CHANGED,
        subject=name,
        actor=actor,
        now=now,
        detail={"removed": True},
    )


@transaction.atomic
def assign_layouts(
    *, round: Round, choices: Mapping[Division, Layout | None], actor: Actor, now: datetime
) -> None:
    """Say which layout each division plays in a round; None takes the division's layout away.

    Raises LayoutRefused once the event is over.
    """
    hold_open(round.event, LayoutRefused)
    standing = {use.division_id: use for use in round.layout_uses.select_related("layout", "division")}
    changes: dict[str, list[str | None]] = {}
    for division, layout in choices.items():
        use = standing.get(division.pk)
        old = use.layout if use else None
        if old == layout:
            continue
        changes[division.code] = [old.name if old else None, layout.name if layout else None]
        if layout is None:
            LayoutUse.objects.filter(round=round, division=division).delete()
        else:
            LayoutUse.objects.update_or_create(round=round, division=division, defaults={"layout": layout})
    if changes:
        record(
            chain=round.event.slug,
            action=Action.ROUND_CHANGED,
            subject=f"layouts of {round}",
            actor=actor,
            now=now,
            detail=changes,
        )


@transaction.atomic
def assign_rounds(
    *, plan: Mapping[Round, Mapping[Division, Layout | None]], actor: Actor, now: datetime
) -> None:
    """`assign_layouts` for several rounds: all of them or none. Raises LayoutRefused."""
    for round_, choices in plan.items():
        assign_layouts(round=round_, choices=choices, actor=actor, now=now)


def lock_layouts(*, layouts: Sequence[Layout], now: datetime) -> None:
    """From the first published tee sheet on, changes to these layouts need a reason, and each version is kept."""
    fresh = [layout for layout in layouts if layout.locked_at is None]
    Layout.objects.filter(pk__in=[layout.pk for layout in fresh], locked_at__isnull=True).update(
        locked_at=now
    )
    for layout in fresh:
        freeze(layout, by="", now=now, reason="Tee sheet published")
