"""Reading holes with their descriptions and sketches, for pages and paper."""

from dataclasses import dataclass
from datetime import datetime

from events.course.hole_details import HoleDetails, Reach, from_json, warnings
from events.course.models import HoleDetails as DetailsRow
from events.course.models import Layout, LayoutHole
from events.course.sketch import Item
from events.course.sketch import from_json as items_from_json
from events.rulebook.loader import Rulebook
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class HoleSheet:
    """One hole of a layout with everything that is known of it. `version` 0: not described yet."""

    id: int
    layout: int
    position: int
    label: str
    par: int
    length_m: int | None
    tee_name: str
    target_name: str
    walk_minutes: int | None
    note: str
    details: HoleDetails
    items: tuple[Item, ...]
    version: int
    changed_at: datetime | None
    changed_by: str


def hole_sheets(layout: Layout) -> tuple[HoleSheet, ...]:
    """The layout's holes in order (1 query)."""
    rows = (
        LayoutHole.objects.filter(layout=layout)
        .select_related("hole__tee", "hole__target", "described")
        .order_by("position")
    )
    return tuple(_sheet(row) for row in rows)


def _sheet(row: LayoutHole) -> HoleSheet:
    described: DetailsRow | None = getattr(row, "described", None)
    return HoleSheet(
        id=row.pk,
        layout=row.layout_id,
        position=row.position,
        label=row.label,
        par=row.par,
        length_m=row.hole.length_m,
        tee_name=row.hole.tee.name,
        target_name=row.hole.target.name,
        walk_minutes=row.hole.tee.walk_minutes,
        note=row.note,
        details=from_json(described.facts) if described else HoleDetails(),
        items=items_from_json(described.sketch) if described else (),
        version=described.version if described else 0,
        changed_at=described.changed_at if described else None,
        changed_by=described.changed_by if described else "",
    )


@dataclass(frozen=True, slots=True)
class Shelter:
    """A shelter and whose nearest it is. `longest_minutes` None: of some hole the way is not known."""

    name: str
    holes: tuple[str, ...]  # "Upper 7"
    longest_minutes: int | None


def shelters_of(event: Event) -> tuple[tuple[Shelter, ...], tuple[str, ...]]:
    """The shelters of the event's holes by name, and the holes that name none (1 query)."""
    rows = LayoutHole.objects.filter(layout__event=event).select_related("layout", "described")
    holes: dict[str, list[str]] = {}
    minutes: dict[str, list[int | None]] = {}
    without: list[str] = []
    for row in rows.order_by("layout__name", "position"):
        described: DetailsRow | None = getattr(row, "described", None)
        facts = described.facts if described else {}
        name = facts.get("shelter", "")
        if not name:
            without.append(f"{row.layout.name} {row.label}")
            continue
        holes.setdefault(name, []).append(f"{row.layout.name} {row.label}")
        minutes.setdefault(name, []).append(facts.get("shelter_minutes"))
    found = [Shelter(name, tuple(holes[name]), _longest(minutes[name])) for name in sorted(holes)]
    return tuple(found), tuple(without)


def _longest(minutes: list[int | None]) -> int | None:
    """Part of the ways is no longest way: None as soon as one is missing."""
    known = [way for way in minutes if way is not None]
    return max(known) if len(known) == len(minutes) else None


def reach_of(book: Rulebook) -> Reach:
    """The figure of the rulebook that the warnings rest on."""
    value = book.value("course.mandatory_zone_reach")
    return Reach(book.int("course.mandatory_zone_reach"), f"{value.document}, {value.section}")


def warnings_of(sheet: HoleSheet, reach: Reach) -> list[str]:
    return warnings(sheet.label, sheet.details, reach)


def missing_of(sheet: HoleSheet) -> list[str]:
    """What is not known of the hole that the rules or an emergency ask for; shown as missing, never as none."""
    details = sheet.details
    checks = (
        (sheet.length_m is None, "length"),
        (not details.tee_kind, "tee"),
        (not details.target_kind, "target"),
        (details.spotter is None, "spotter"),
        (not details.shelter or details.shelter_minutes is None, "shelter"),
        (not details.ambulance, "ambulance access"),
        (not sheet.items, "sketch"),
    )
    return [name for lacks, name in checks if lacks]
