"""Paper of the things: the loading list by box, and what to buy or borrow still. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document


@dataclass(frozen=True, slots=True)
class Load:
    """Some of a thing as it is carried; `box` empty: in no box yet. `back` says to whom and when it goes back."""

    box: str
    thing: str
    count: str
    back: str
    packed: bool


@dataclass(frozen=True, slots=True)
class Missing:
    """What is short; `short` in words, since what is needed may not be known."""

    thing: str
    needed: str
    have: str
    short: str


def loading_list(
    head: EventHead, loads: Sequence[Load], missing: Sequence[Missing], *, printed: str = ""
) -> bytes:
    """By box, with squares to tick when it goes in, when it is on site and when it is back; then what is short."""
    boxes = sorted({load.box for load in loads if load.box})
    loose = [load for load in loads if not load.box]
    blocks = [_block(f"Box {box}", [load for load in loads if load.box == box]) for box in boxes]
    if loose:
        blocks.append(_block("In no box yet", loose))
    counted = f"{len(boxes)} boxes" if len(boxes) != 1 else "1 box"
    listing = Listing(
        "Loading list",
        " · ".join(part for part in (head.name, head.dates_text, counted) if part),
        (
            Column("how many", 12, "right"),
            Column("what", 42),
            Column("goes back to", 26),
            Column("packed", 9),
            Column("on site", 9),
            Column("back", 8),
        ),
        tuple(blocks),
        note="Number the boxes outside. What is borrowed goes back first.",
    )
    parts = [Part("loading list", listing_pages(head, listing))]
    if missing:
        parts.append(Part("still to get", listing_pages(head, _to_get(head, missing))))
    return document(head, parts, printed=printed)


def _block(heading: str, loads: Sequence[Load]) -> Block:
    rows = tuple(
        Row(
            (
                Cell(load.count, Style.BOLD, 11),
                Cell(load.thing, Style.BOLD, 10.5),
                Cell(load.back),
                Cell(box=True, size=11, ticked=load.packed),
                Cell(box=True, size=11),
                Cell(box=True, size=11) if load.back else Cell(),
            )
        )
        for load in loads
    )
    return Block(rows, heading, whole=True)


def _to_get(head: EventHead, missing: Sequence[Missing]) -> Listing:
    rows = tuple(
        Row(
            (
                Cell(box=True, size=11),
                Cell(each.thing, Style.BOLD, 10.5),
                Cell(each.short, Style.BOLD, 11),
                Cell(each.needed),
                Cell(each.have),
            )
        )
        for each in missing
    )
    columns = (
        Column("", 5),
        Column("what", 40),
        Column("to get", 30),
        Column("needed", 12, "right"),
        Column("here", 12, "right"),
    )
    return Listing("Still to get", " · ".join((head.name, head.dates_text)), columns, (Block(rows),))
