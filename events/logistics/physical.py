"""The physical holes of an event: each once, however many layouts use it, with everything that stands on it."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from events.course.hole_details import HoleDetails, from_json
from events.course.models import HoleDetails as DetailsRow
from events.course.models import LayoutHole
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Spot:
    """One thing to mark on a hole: a line, an area, a mandatory, a drop zone. `how` may be empty: not said."""

    name: str
    how: str = ""


@dataclass(slots=True)
class PhysicalHole:
    """From one tee to one target. `signs`: one for each layout; `spotter` None: not said in any layout."""

    id: int
    tee: str
    target: str
    signs: list[str] = field(default_factory=list)  # "Upper 7", in the order of layouts
    described: bool = False
    pad: bool = False
    basket: bool = True
    spotter: bool | None = None
    lines: list[Spot] = field(default_factory=list)
    areas: list[Spot] = field(default_factory=list)
    mandatories: list[Spot] = field(default_factory=list)
    zones: list[Spot] = field(default_factory=list)

    @property
    def name(self) -> str:
        return " · ".join(self.signs)


def physical_holes(event: Event) -> tuple[PhysicalHole, ...]:
    """In the order of the layout by name and the place in it, each hole at its first place (1 query)."""
    rows = (
        LayoutHole.objects.filter(layout__event=event)
        .select_related("layout", "hole__tee", "hole__target", "described")
        .order_by("layout__name", "position")
    )
    found: dict[int, PhysicalHole] = {}
    for row in rows:
        hole = found.setdefault(
            row.hole_id, PhysicalHole(row.hole_id, row.hole.tee.name, row.hole.target.name)
        )
        hole.signs.append(f"{row.layout.name} {row.label}")
        described: DetailsRow | None = getattr(row, "described", None)
        if described is not None:
            add_details(hole, from_json(described.facts))
    return tuple(found.values())


def add_details(hole: PhysicalHole, details: HoleDetails) -> None:
    """What one layout says of the hole joins what others said; the same thing is named once."""
    hole.described = True
    hole.pad = hole.pad or details.tee_kind == "pad"
    if details.target_kind:
        hole.basket = details.target_kind != "object"
    if details.spotter is not None:
        hole.spotter = bool(hole.spotter) or details.spotter
    _join(hole.lines, (Spot(each.boundary, each.marking) for each in details.out_of_bounds))
    areas = (*details.hazards, *details.relief, *details.casual)
    _join(hole.areas, (Spot(each.area, each.marking) for each in areas))
    _join(hole.mandatories, (Spot(each.marker, each.plane) for each in details.mandatories))
    _join(hole.zones, (Spot(each.name, each.place) for each in details.zones))


def _join(spots: list[Spot], more: Iterable[Spot]) -> None:
    names = {spot.name for spot in spots}
    for spot in more:
        if spot.name not in names:
            spots.append(spot)
            names.add(spot.name)
