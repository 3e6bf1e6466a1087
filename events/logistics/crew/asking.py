"""What each round asks of the roster, read from its layouts, its pools and the hazard notes."""

from collections.abc import Sequence

from events.course.models import HazardNote, Layout, LayoutHole, LayoutUse
from events.draw.models import Pool
from events.logistics.crew.needing import Asked, HoleFacts, RoundFacts, shifts_asked
from events.logistics.crew.windows import anchors_of
from events.logistics.playing_times import playing_times
from events.setup.models import Event, Round, StartType
from events.setup.queries import rulebook_for


def asked_of(event: Event, most_minutes: int) -> list[Asked]:
    """The shifts that the plan asks for as it stands, none longer than `most_minutes` (16 queries)."""
    book = rulebook_for(event)
    times = playing_times(event, book=book).rounds
    holes = _holes(event)
    used: dict[int, list[int]] = {}
    uses = LayoutUse.objects.filter(round__event=event).order_by("layout__name", "layout_id")
    for round_id, layout_id in uses.values_list("round_id", "layout_id"):
        if layout_id not in used.setdefault(round_id, []):
            used[round_id].append(layout_id)
    starts = _start_labels(event)
    rounds = [
        RoundFacts(
            id=round_.pk,
            number=round_.number,
            holes=tuple(hole for layout in used.get(round_.pk, ()) for hole in holes.get(layout, ())),
            start_labels=starts.get(round_.pk, ()),
            first_of_event=index == 0,
            moments=anchors_of(times[round_.pk]),
        )
        for index, round_ in enumerate(Round.objects.filter(event=event).order_by("number"))
    ]
    holes_a_marshal = book.int("practice.crew_holes_a_marshal")
    return shifts_asked(rounds, holes_a_marshal=holes_a_marshal, most_minutes=most_minutes)


def _holes(event: Event) -> dict[int, list[HoleFacts]]:
    """Layout id → its holes in order (3 queries)."""
    public: dict[int, str] = {}
    notes = HazardNote.objects.filter(event=event, withdrawn_at__isnull=True, risk_public=True)
    for note in notes.prefetch_related("layout_holes").order_by("pk"):
        for place in note.layout_holes.all():
            public.setdefault(place.hole_id, ", ".join(filter(None, (note.what, note.where))))
    rows = LayoutHole.objects.filter(layout__event=event).select_related("layout", "described")
    found: dict[int, list[HoleFacts]] = {}
    for row in rows.order_by("layout__name", "position"):
        described = getattr(row, "described", None)
        found.setdefault(row.layout_id, []).append(
            HoleFacts(
                physical=row.hole_id,
                layout_hole=row.pk,
                label=f"{row.layout} {row.label}",
                position=row.position,
                layout=str(row.layout),
                spotter=bool(described and described.facts.get("spotter")),
                public=public.get(row.hole_id, ""),
            )
        )
    return found


def _start_labels(event: Event) -> dict[int, tuple[str, ...]]:
    """Round id → the holes from which its tee times go, where they are not a shotgun (2 queries)."""
    found: dict[int, list[str]] = {}
    pools = Pool.objects.filter(round__event=event, retired=False, start_type=StartType.TEE_TIMES)
    firsts = _first_labels(event)
    for pool in pools.select_related("round").order_by("first_start_at", "label"):
        labels = [label.strip() for label in pool.start_labels.split(",") if label.strip()]
        for label in labels or firsts.get(pool.round_id, ["1"]):
            if label not in found.setdefault(pool.round_id, []):
                found[pool.round_id].append(label)
    return {round_id: tuple(labels) for round_id, labels in found.items()}


def _first_labels(event: Event) -> dict[int, Sequence[str]]:
    """Round id → the label of the first hole of each layout it plays (1 query)."""
    found: dict[int, list[str]] = {}
    rows = Layout.objects.filter(uses__round__event=event, layout_holes__position=1)
    for round_id, label in rows.values_list("uses__round_id", "layout_holes__label").order_by("name"):
        if label not in found.setdefault(round_id, []):
            found[round_id].append(label)
    return dict(found)
