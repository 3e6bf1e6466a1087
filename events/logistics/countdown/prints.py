"""The countdown on paper: what is open, with a box to tick. Pure."""

from collections.abc import Sequence
from typing import Protocol

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document

COLUMNS = (
    Column("", 4),
    Column("until", 23),
    Column("what", 52),
    Column("who", 16),
    Column("what follows when it slips", 42),
)


class Printed(Protocol):
    """What the paper says of a line."""

    @property
    def what(self) -> str: ...
    @property
    def of(self) -> str: ...
    @property
    def when(self) -> str: ...
    @property
    def due_words(self) -> str: ...
    @property
    def owner(self) -> str: ...
    @property
    def force(self) -> str: ...
    @property
    def citation(self) -> str: ...
    @property
    def slips(self) -> str: ...


def countdown_list(
    head: EventHead, parts: Sequence[tuple[str, Sequence[Printed]]], *, done: int, printed: str = ""
) -> bytes:
    """The open lines under their headings, as PDF. `done`: how many are done, not needed or past."""
    blocks = tuple(Block(tuple(map(_row, lines)), heading) for heading, lines in parts if lines)
    counted = sum(len(lines) for _, lines in parts)
    listing = Listing(
        "Countdown",
        " · ".join(
            part for part in (head.name, head.dates_text, f"{counted} open, {done} behind us") if part
        ),
        COLUMNS,
        blocks or (Block((), "Nothing is open."),),
        landscape=True,
        note="A day ends at midnight. Dates rest on the event's plan of the moment this was printed.",
    )
    return document(head, [Part("countdown", listing_pages(head, listing))], printed=printed)


def _row(line: Printed) -> Row:
    below = " · ".join(
        part for part in (line.of, f"if {line.when}" if line.when else "", line.force, line.citation) if part
    )
    return Row(
        (
            Cell(box=True),
            Cell(line.due_words, Style.BOLD, 9.5),
            Cell(line.what, Style.BOLD, 10, below=below),
            Cell(line.owner),
            Cell(line.slips, size=9),
        )
    )
