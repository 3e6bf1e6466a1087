"""Bringing the lines that stand up to date with the rulings that lie on top of them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from events.course.models import LayoutHole
from events.setup.models import Round
from scoring.cards.arithmetic import line_total
from scoring.cards.counted import counted, nothing_left, read_on_top
from scoring.cards.models import CardLine, Ruling


class NothingLeft(Exception):
    """Rulings take off more throws than are written."""


def rulings_on_top(round: Round, entries: Iterable[int], labels: Sequence[str]) -> dict[int, list[list[Any]]]:
    """Entry → the rulings that count on top of what is written, as a line keeps them (1 query).

    A hole that this layout does not have leaves the throws on the round: they are never lost.
    """
    index = {label: at for at, label in enumerate(labels)}
    found: dict[int, list[list[Any]]] = defaultdict(list)
    rulings = Ruling.objects.filter(round=round, entry__in=list(entries), taken_back_at=None)
    for ruling in rulings.exclude(in_card=True).order_by("pk"):
        words = f"{ruling.what} ({ruling.rule})"
        found[ruling.entry_id].append([index.get(ruling.hole_label), ruling.throws, words])
    return dict(found)


def recount(round: Round, entries: Iterable[int]) -> None:
    """Count the rulings of these players again on their current lines; who has none waits for a card.

    Raises NothingLeft.
    """
    lines = CardLine.objects.select_for_update(of=("self",)).filter(
        round=round, entry__in=list(entries), current=True
    )
    for line in lines.select_related("version__sheet").order_by("pk"):
        holes = _holes_of(line)
        if len(holes) != len(line.throws):
            continue  # written for a layout that was changed since: it says nothing about these holes
        on_top = rulings_on_top(round, [line.entry_id], [hole.label for hole in holes]).get(line.entry_id, [])
        counts = counted(line.throws, line.additional, "", read_on_top(on_top))
        if nothing_left(counts):
            raise NothingLeft
        line.on_top = on_top
        line.total = line_total(counts.throws, [hole.par for hole in holes], counts.additional).total
        line.save(update_fields=["on_top", "total"])


def _holes_of(line: CardLine) -> list[LayoutHole]:
    """The holes that the line was written for: those of its group's layout on the sheet of its version."""
    seat = line.version.sheet.seats.filter(entry=line.entry_id).select_related("group").first()
    if seat is None:
        return []
    return list(LayoutHole.objects.filter(layout=seat.group.layout_id).order_by("position"))
