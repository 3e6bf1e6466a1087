"""Layouts in play as frozen versions: what one holds, when one is made, and whom a change touches."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from events.course.above import Above
from events.course.hole_details import HoleDetails, from_json
from events.course.models import HoleDetails as DetailsRow
from events.course.models import Layout, LayoutHole, LayoutUse, LayoutVersion
from events.course.sketch import Item
from events.course.sketch import from_json as items_from_json
from events.course.touching import sentences


def snapshot_of(layout: Layout) -> dict[str, Any]:
    """The whole layout as plain JSON, so that it stays readable whatever becomes of its rows (2 queries)."""
    places = layout.layout_holes.select_related("hole__tee", "hole__target").order_by("position")
    described = {row.layout_hole_id: row for row in DetailsRow.objects.filter(layout_hole__layout=layout)}
    return {
        "name": layout.name,
        "two_metre": layout.two_metre,
        "holes": [_hole(place, described.get(place.pk)) for place in places],
    }


def _hole(place: LayoutHole, described: DetailsRow | None) -> dict[str, Any]:
    return {
        "label": place.label,
        "par": place.par,
        "length_m": place.hole.length_m,
        "tee": place.hole.tee.name,
        "target": place.hole.target.name,
        "note": place.note,
        "facts": described.facts if described else {},
        "sketch": described.sketch if described else [],
    }


def freeze(
    layout: Layout, *, by: str, now: datetime, reason: str = "", touched: Sequence[str] = ()
) -> LayoutVersion:
    """Keep the layout as it stands now under its version number; one that is kept already stays as it is."""
    version, _ = LayoutVersion.objects.get_or_create(
        layout=layout,
        number=layout.version,
        defaults={
            "at": now,
            "by": by,
            "reason": reason[:200],
            "touched": list(touched),
            "snapshot": snapshot_of(layout),
        },
    )
    return version


def freeze_before(layout: Layout) -> None:
    """Before a change in play: see that the version that is in force is kept."""
    if layout.locked_at is not None:
        freeze(layout, by="", now=layout.locked_at, reason="In play")


def touched_by(layout: Layout, above: Above | None, now: datetime) -> list[str]:
    """Whom a change touches, in sentences (1 query, and what the floors above ask)."""
    uses = LayoutUse.objects.filter(layout=layout).order_by("round__number", "division__order")
    groups = above.groups_of(layout, now) if above else ()
    return sentences(list(uses.values_list("round__number", "division__code")), groups)


@dataclass(frozen=True, slots=True)
class FrozenHole:
    """One hole as a version has it."""

    label: str
    par: int
    length_m: int | None
    tee: str
    target: str
    note: str
    details: HoleDetails
    items: tuple[Item, ...]


def frozen_holes(version: LayoutVersion) -> tuple[FrozenHole, ...]:
    return tuple(
        FrozenHole(
            label=row["label"],
            par=row["par"],
            length_m=row["length_m"],
            tee=row["tee"],
            target=row["target"],
            note=row["note"],
            details=from_json(row["facts"]),
            items=items_from_json(row["sketch"]),
        )
        for row in version.snapshot["holes"]
    )


def changed_labels(before: LayoutVersion, after: LayoutVersion) -> list[str]:
    """Labels of the holes that differ between two versions, in the order of the later one."""
    old = {row["label"]: row for row in before.snapshot["holes"]}
    return [row["label"] for row in after.snapshot["holes"] if old.get(row["label"]) != row]
