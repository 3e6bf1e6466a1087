"""The walk on paper, to go round the course with a pencil. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document


@dataclass(frozen=True, slots=True)
class WalkLine:
    """A piece of work; `how` may be empty."""

    words: str
    how: str
    done: bool


@dataclass(frozen=True, slots=True)
class WalkHole:
    """A physical hole by the names that layouts give it, with where it goes."""

    name: str
    way: str
    lines: tuple[WalkLine, ...]


def walk_sheet(head: EventHead, holes: Sequence[WalkHole], *, address: str = "", printed: str = "") -> bytes:
    """A block for each hole, kept on one page; `address` of the walk on a phone stands as a code at the head."""
    still = sum(1 for hole in holes for line in hole.lines if not line.done)
    listing = Listing(
        "Course walk",
        " · ".join(part for part in (head.name, head.dates_text, f"{still} open when printed") if part),
        (Column("", 6), Column("work", 60), Column("by, time", 34)),
        tuple(Block(tuple(_row(line) for line in hole.lines), hole.name, whole=True) for hole in holes),
        frames=2,
        note="Tick what is done, and write down what is not. Mind discs in flight, water and traffic.",
        qr=address,
    )
    return document(head, [Part("course walk", listing_pages(head, listing))], printed=printed)


def _row(line: WalkLine) -> Row:
    return Row(
        (Cell(box=True, size=11, ticked=line.done), Cell(line.words, Style.BODY, 10, below=line.how), Cell())
    )
