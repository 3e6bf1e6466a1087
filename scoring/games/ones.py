"""Holes in one throw, as the score cards have them."""

from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.setup.models import Event
from scoring.cards.models import Card, StandingLine
from scoring.games.states import One


def ones_of(event: Event) -> list[One]:
    """Every 1 on a card of the event, in the order of rounds and names (1 query; 4 where there is one).

    A player without a seat on the published tee sheet has no layout to name the hole by, and is left out.
    """
    rows = StandingLine.objects.filter(round__event=event).select_related(
        "round", "entry__person", "entry__division"
    )
    thrown = [
        (row, index)
        for row in rows.order_by("round__number", "entry__person__sort_name", "entry")
        for index, throws in enumerate(row.counted.throws)
        if throws == 1
    ]
    if not thrown:
        return []
    seats = _seats(event, {row.entry_id for row, _ in thrown})
    verified = set(
        Card.objects.filter(round__event=event, verified_at__isnull=False).values_list(
            "round_id", "group_number"
        )
    )
    labels = _labels({layout for _, layout in seats.values()})
    ones = []
    for row, index in thrown:
        group, layout = seats.get((row.round_id, row.entry_id), (0, 0))
        if index < len(labels.get(layout, [])):
            ones.append(
                One(
                    row.entry_id,
                    row.entry.person.name,
                    row.entry.division.code,
                    row.round_id,
                    row.round.number,
                    labels[layout][index],
                    (row.round_id, group) in verified,
                )
            )
    return ones


def _seats(event: Event, entries: set[int]) -> dict[tuple[int, int], tuple[int, int]]:
    """(round id, entry id) → group's number and layout id (1 query)."""
    rows = Seat.objects.filter(
        sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED, entry__in=entries
    ).values_list("sheet__round_id", "entry_id", "group__number", "group__layout_id")
    return {(round_id, entry): (group, layout) for round_id, entry, group, layout in rows}


def _labels(layouts: set[int]) -> dict[int, list[str]]:
    """Layout id → its hole labels in order (1 query)."""
    found: dict[int, list[str]] = {}
    rows = LayoutHole.objects.filter(layout__in=layouts).order_by("position")
    for layout, label in rows.values_list("layout_id", "label"):
        found.setdefault(layout, []).append(label)
    return found
