"""Reading layouts."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from events.course.models import Layout, LayoutHole, LayoutUse
from events.setup.models import Event, Round


@dataclass(frozen=True, slots=True)
class HoleFacts:
    """One hole of a layout with its physical tee, flat, for draw, paper and cards."""

    id: int
    layout: int
    position: int
    label: str
    par: int
    length_m: int | None
    note: str
    tee: int
    tee_name: str
    walk_minutes: int | None


@dataclass(frozen=True, slots=True)
class LayoutFacts:
    id: int
    name: str
    holes: tuple[HoleFacts, ...]

    @property
    def par(self) -> int:
        return sum(hole.par for hole in self.holes)

    @property
    def pars(self) -> tuple[int, ...]:
        return tuple(hole.par for hole in self.holes)

    @property
    def length_m(self) -> int | None:
        """None as soon as one length is missing: part of a length is no length."""
        lengths = [hole.length_m for hole in self.holes]
        return None if None in lengths else sum(length for length in lengths if length is not None)


def layouts_of(event: Event) -> dict[int, LayoutFacts]:
    """Every layout of the event by id, with its holes in order (2 queries)."""
    holes: dict[int, list[HoleFacts]] = defaultdict(list)
    rows = LayoutHole.objects.filter(layout__event=event).select_related("hole__tee").order_by("position")
    for row in rows:
        holes[row.layout_id].append(
            HoleFacts(
                id=row.pk,
                layout=row.layout_id,
                position=row.position,
                label=row.label,
                par=row.par,
                length_m=row.hole.length_m,
                note=row.note,
                tee=row.hole.tee_id,
                tee_name=row.hole.tee.name,
                walk_minutes=row.hole.tee.walk_minutes,
            )
        )
    return {
        layout.pk: LayoutFacts(layout.pk, layout.name, tuple(holes[layout.pk]))
        for layout in Layout.objects.filter(event=event).order_by("name")
    }


def layout_of_divisions(round: Round) -> dict[int, int]:
    """Division id → layout id in a round (1 query)."""
    return dict(LayoutUse.objects.filter(round=round).values_list("division_id", "layout_id"))


@dataclass(frozen=True, slots=True)
class SharedTee:
    """A tee that several layouts use, with the label each gives it: ("Upper 7", "Short 3")."""

    name: str
    labels: tuple[str, ...]


def shared_tees(layouts: Iterable[LayoutFacts]) -> list[SharedTee]:
    """Tees that stand in more than one layout, by name."""
    labels: dict[tuple[int, str], list[str]] = defaultdict(list)
    for layout in layouts:
        for hole in layout.holes:
            labels[hole.tee, hole.tee_name].append(f"{layout.name} {hole.label}")
    return sorted(
        (SharedTee(name, tuple(found)) for (_, name), found in labels.items() if len(found) > 1),
        key=lambda shared: shared.name,
    )
