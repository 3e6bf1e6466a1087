"""Holes in one throw, as the score cards have them."""

from collections.abc import Collection
from dataclasses import dataclass

from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.setup.models import Event
from scoring.cards.models import Card, StandingLine
from scoring.games.states import One

Hole = tuple[int, int, str]  # entry id, round id, label


@dataclass(frozen=True, slots=True)
class Ones:
    """Every 1 on a card, and the `asked` holes that a card has with another figure."""

    found: list[One]
    other: frozenset[Hole]


def ones_of(event: Event, asked: Collection[Hole] = ()) -> Ones:
    """The ones of an event in the order of rounds and names, and of the holes `asked` about those that have another
    figure than 1 by now; a figure that is missing says nothing (1 query; 4 where there is a 1 or a hole asked about).

    A player without a seat on the published tee sheet has no layout to name the hole by, and is left out.
    """
    rows = StandingLine.objects.filter(round__event=event).select_related(
        "round", "entry__person", "entry__division"
    )
    wanted = {(entry, round_id) for entry, round_id, _ in asked}
    lines = [
        (row, throws)
        for row in rows.order_by("round__number", "entry__person__sort_name", "entry")
        if 1 in (throws := row.counted.throws) or (row.entry_id, row.round_id) in wanted
    ]
    if not lines:
        return Ones([], frozenset())
    seats = _seats(event, {row.entry_id for row, _ in lines})
    labels = _labels({layout for _, layout in seats.values()})
    verified = _verified(event)
    ones, other = [], set()
    for row, throws in lines:
        group, layout = seats.get((row.round_id, row.entry_id), (0, 0))
        for label, figure in zip(labels.get(layout, []), throws, strict=False):
            if figure == 1:
                ones.append(_one(row, label, verified=(row.round_id, group) in verified))
            elif figure is not None:
                other.add((row.entry_id, row.round_id, label))
    return Ones(ones, frozenset(other & set(asked)))


def _one(row: StandingLine, label: str, *, verified: bool) -> One:
    return One(
        row.entry_id,
        row.entry.person.name,
        row.entry.division.code,
        row.round_id,
        row.round.number,
        label,
        verified,
    )


def _verified(event: Event) -> set[tuple[int, int]]:
    """(round id, group's number) of every card that was checked (1 query)."""
    rows = Card.objects.filter(round__event=event, verified_at__isnull=False)
    return set(rows.values_list("round_id", "group_number"))


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
