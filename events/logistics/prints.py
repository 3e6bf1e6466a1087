"""The list of found things, to pin up."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Protocol

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document


class Thing(Protocol):
    """What the paper says of a found thing: never what is written on it, so that the owner can prove it."""

    number: int
    what: str
    hole_label: str
    found_at: datetime

    @property
    def held(self) -> bool: ...


def found_list(
    head: EventHead, things: Sequence[Thing], local: Callable[[datetime], datetime], *, printed: str = ""
) -> bytes:
    """What is still held, as PDF. What stands on a thing is left out: who says it is the owner."""
    held = [thing for thing in things if thing.held]
    columns = (Column("no.", 8, "right"), Column("what", 50), Column("hole", 10), Column("handed in", 22))
    rows = tuple(_row(thing, local) for thing in held)
    counted = "1 thing is held" if len(held) == 1 else f"{len(held)} things are held"
    listing = Listing(
        "Lost and found",
        " · ".join(part for part in (head.name, head.dates_text, counted) if part),
        columns,
        (Block(rows),),
        note="Ask at the desk, and say what is written on it.",
    )
    return document(head, [Part("lost and found", listing_pages(head, listing))], printed=printed)


def _row(thing: Thing, local: Callable[[datetime], datetime]) -> Row:
    return Row(
        (
            Cell(str(thing.number), Style.BOLD, 11),
            Cell(thing.what, Style.BOLD, 10.5),
            Cell(thing.hole_label),
            Cell(f"{local(thing.found_at):%a %H:%M}"),
        )
    )
