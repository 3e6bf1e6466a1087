"""Writing what a hole is like: its description, its sketch, and the two-metre rule of the course."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F

from events.course import hole_details, sketch
from events.course.models import HoleDetails, Layout, LayoutHole
from events.course.services import LayoutRefused, LayoutStale
from events.course.versions import freeze, freeze_before
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.over import hold_open


@transaction.atomic
def describe_hole(
    *,
    place: LayoutHole,
    details: hole_details.HoleDetails,
    version: int,
    actor: Actor,
    now: datetime,
    reason: str = "",
    touched: Sequence[str] = (),
) -> HoleDetails:
    """Save the description of a hole. `version` is the one that the editor saw, 0 where there was none.

    A layout in play needs a reason and gets a new frozen version. Raises LayoutRefused or LayoutStale.
    """
    if found := hole_details.faults(place.label, details):
        raise LayoutRefused(*found)
    before = HoleDetails.objects.filter(layout_hole=place).values_list("facts", flat=True).first()
    row = _save(place, "facts", details.as_json(), version, actor, now, reason, touched)
    _log(place, Action.HOLE_DESCRIBED, {"before": before, "after": row.facts}, actor, now, reason, touched)
    return row


@transaction.atomic
def sketch_hole(
    *,
    place: LayoutHole,
    items: Sequence[sketch.Item],
    version: int,
    actor: Actor,
    now: datetime,
    reason: str = "",
    touched: Sequence[str] = (),
) -> HoleDetails:
    """Save the sketch of a hole; as `describe_hole`."""
    if found := sketch.faults(place.label, items):
        raise LayoutRefused(*found)
    row = _save(place, "sketch", sketch.as_json(items), version, actor, now, reason, touched)
    _log(place, Action.HOLE_SKETCHED, {"lines": len(items)}, actor, now, reason, touched)
    return row


@transaction.atomic
def declare_two_metre(
    *,
    layout: Layout,
    on: bool,
    actor: Actor,
    now: datetime,
    reason: str = "",
    touched: Sequence[str] = (),
) -> Layout:
    """Declare the two-metre rule for the whole course, or take that back (Official Rules 805.02)."""
    if layout.two_metre == on:
        return layout
    _open(layout, reason)
    layout.two_metre = on
    layout.save(update_fields=["two_metre"])
    _close(layout, actor, now, reason, touched)
    detail = {"two-metre rule": on, "touched": list(touched)}
    record(
        chain=layout.event.slug,
        action=Action.LAYOUT_CHANGED,
        subject=layout.name,
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
    return layout


def _save(
    place: LayoutHole,
    field: str,
    value: Any,
    version: int,
    actor: Actor,
    now: datetime,
    reason: str,
    touched: Sequence[str],
) -> HoleDetails:
    _open(place.layout, reason)
    facts = {field: value, "changed_at": now, "changed_by": actor.name[:150]}
    if version:
        rows = HoleDetails.objects.filter(layout_hole=place, version=version)
        changed = rows.update(**facts, version=F("version") + 1)
    else:
        changed = _first(place, facts)
    if not changed:
        raise LayoutStale(f"Somebody else changed hole {place.label} meanwhile. Open it again and look.")
    _close(place.layout, actor, now, reason, touched)
    return HoleDetails.objects.get(layout_hole=place)


def _first(place: LayoutHole, facts: dict[str, Any]) -> int:
    try:
        with transaction.atomic():
            HoleDetails.objects.create(layout_hole=place, **facts)
    except IntegrityError:
        return 0
    return 1


def _open(layout: Layout, reason: str) -> None:
    hold_open(layout.event, LayoutRefused)
    if layout.locked_at is not None and not reason.strip():
        raise LayoutRefused("This layout is in play. Say why it changes.")
    freeze_before(layout)


def _close(layout: Layout, actor: Actor, now: datetime, reason: str, touched: Sequence[str]) -> None:
    """In play each change is a version of its own."""
    if layout.locked_at is None:
        return
    Layout.objects.filter(pk=layout.pk).update(version=F("version") + 1)
    layout.refresh_from_db()
    freeze(layout, by=actor.name[:150], now=now, reason=reason, touched=touched)


def _log(
    place: LayoutHole,
    action: Action,
    detail: dict[str, Any],
    actor: Actor,
    now: datetime,
    reason: str,
    touched: Sequence[str],
) -> None:
    record(
        chain=place.layout.event.slug,
        action=action,
        subject=f"{place.layout} {place.label}",
        actor=actor,
        now=now,
        detail={**detail, "touched": list(touched)} if touched else detail,
        reason=reason,
    )
