"""The slip "do not throw these": what the desk found in one bag, and what follows from it."""

from typing import Any

from events.bags.checking import Check
from events.bags.pages import Line
from events.entries.models import Entry
from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from events.setup.models import Round

NOTE = (
    "Only throwing an illegal disc is penalised: two throws each (Official Rules 2025, 813.01.G); carrying one is not."
    " What is not proven bears no restriction. If you disagree, ask the tournament director, who decides."
)
NOTHING = "So far nothing was found that is not to be thrown."


def slip_pdf(head: EventHead, entry: Entry, round: Round, facts: dict[str, Any], printed: str) -> bytes:
    """One player's slip as PDF; `facts` as `desk_page.bag_desk` gives them."""
    columns = (Column("no.", 6, "right"), Column("disc", 34), Column("why", 60))
    blocks = [
        Block(tuple(_row(line, line.judged.forbidden) for line in facts["forbidden"]), "Do not throw these"),
        Block(
            tuple(_row(line, line.judged.unproven) for line in facts["unproven"]),
            "Not proven, no restriction",
        ),
    ]
    weighed = f"{facts['weighed']} of {facts['carried']}"
    nothing = "" if facts["forbidden"] else f"{NOTHING} "
    listing = Listing(
        entry.person.name,
        f"{head.name} · {entry.division.code} · round {round.number} · {weighed} weighed",
        columns,
        tuple(block for block in blocks if block.rows),
        note=nothing + NOTE,
    )
    return document(head, [Part("slip of the equipment desk", listing_pages(head, listing))], printed=printed)


def _row(line: Line, why: tuple[Check, ...]) -> Row:
    disc = line.piece.disc
    return Row(
        (
            Cell(str(disc.number), Style.BOLD, 12),
            Cell(f"{disc.maker} {disc.model}".strip(), Style.BOLD, 11, below=line.looks),
            Cell(
                " ".join(check.sentence for check in why),
                below="; ".join(dict.fromkeys(c.source for c in why)),
            ),
        )
    )
