"""What belongs to a hole (description, sketch, hazard notes) goes with it when a layout's rows are ordered anew."""

from dataclasses import dataclass

from events.course.grid import carried
from events.course.models import HazardNote, HoleDetails, Layout, LayoutHole


@dataclass(frozen=True, slots=True)
class Belongings:
    """As they were before the rows are written; `places`: row id → (label, physical hole)."""

    places: dict[int, tuple[str, int]]
    details: tuple[HoleDetails, ...]
    links: tuple[tuple[int, int], ...]


def _places(layout: Layout) -> dict[int, tuple[str, int]]:
    rows = LayoutHole.objects.filter(layout=layout).values_list("pk", "label", "hole_id")
    return {pk: (label, hole) for pk, label, hole in rows}


def belongings(layout: Layout) -> Belongings:
    """Ask before the rows change (3 queries)."""
    links = HazardNote.layout_holes.through.objects.filter(layouthole__layout=layout)
    return Belongings(
        places=_places(layout),
        details=tuple(HoleDetails.objects.filter(layout_hole__layout=layout)),
        links=tuple(links.values_list("hazardnote_id", "layouthole_id")),
    )


def give_back(layout: Layout, before: Belongings) -> None:
    """After the rows have changed, put everything to the row that now holds the same hole; what has none, goes."""
    if not before.details and not before.links:
        return
    now_at = carried(before.places, _places(layout))
    if all(old == new for old, new in now_at.items()):
        return
    HoleDetails.objects.filter(layout_hole__layout=layout).delete()
    kept = [(row, now_at[row.layout_hole_id]) for row in before.details]
    for row, place in kept:
        if place is not None:
            row.pk = None
            row.layout_hole_id = place
    HoleDetails.objects.bulk_create(row for row, place in kept if place is not None)
    through = HazardNote.layout_holes.through
    through.objects.filter(layouthole__layout=layout).delete()
    links = {(note, now_at[place]) for note, place in before.links}
    through.objects.bulk_create(
        through(hazardnote_id=note, layouthole_id=place)
        for note, place in sorted((note, place) for note, place in links if place is not None)
    )
