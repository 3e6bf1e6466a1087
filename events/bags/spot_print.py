"""Spot checks on paper: the working for anybody, and the notice of who is to come."""

from events.bags.models import SpotCheck
from events.bags.spot_checks import drawn
from events.bags.spot_working import Working
from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document

ABSOLVES = "A draw is deterrence: a clean sample absolves nobody, and to be drawn accuses nobody."


def working_pdf(head: EventHead, working: Working) -> bytes:
    """Everything that is needed to check the draw by hand. The same draw gives the same bytes."""
    under = f"{head.name} · {working.method} · {working.wanted} wanted, {working.spares} spares of {len(working.rows)}"
    facts = [f"Pool frozen {working.frozen}.", f"Numbers: {working.source}."]
    if working.commitment:
        facts.append(f"Commitment: {working.commitment}.")
    if working.made:
        facts += [f"Drawn {working.drawn}. Numbers as announced: {working.numbers}. As text: {working.seed}"]
        if working.code:
            facts.append(f"Code: {working.code}.")
    columns = (
        Column("order", 8, "right"),
        Column("label", 8),
        Column("name", 30),
        Column("hash", 46),
        Column("", 22),
    )
    rows = tuple(
        Row(
            (
                Cell("" if row.order is None else str(row.order), Style.BOLD, 9),
                Cell(row.label, size=9),
                Cell(row.name, Style.BOLD if row.order else Style.BODY, 9),
                Cell(row.digest[:32], size=8),
                Cell(row.state, size=9),
            )
        )
        for row in working.rows
    )
    steps = tuple(_step(*step) for step in working.steps)
    blocks = [Block(rows)]
    if steps:
        blocks.append(Block(steps, "Working: i, left, taken, MD5"))
    listing = Listing(
        working.title,
        under,
        columns,
        tuple(blocks),
        note=" ".join([*facts, *(f"{at}. {step}" for at, step in enumerate(working.recipe, 1)), ABSOLVES]),
    )
    return document(head, [Part("spot check", listing_pages(head, listing))])


def _step(i: int, digest: str, left: int, index: int, number: int) -> Row:
    taken = Cell(f"place {index}, number {number}", size=9)
    return Row((Cell(str(i), size=9), Cell(str(left), size=9), taken, Cell(digest, size=8), Cell()))


def notice_pdf(head: EventHead, check: SpotCheck, printed: str) -> bytes:
    """Who is called, in large type, and what to bring."""
    columns = (Column("player", 70), Column("label", 15), Column("seen", 15))
    rows = tuple(
        Row((Cell(each.name, Style.BOLD, 16), Cell(each.label, size=12), Cell(box=True, size=14)))
        for each in drawn(check)
        if each.called
    )
    listing = Listing(
        f"Spot check, round {check.round.number}",
        "Please come to the equipment desk with your whole bag before you start.",
        columns,
        (Block(rows),) if rows else (),
        note=f"Drawn by chance; anybody can check how on the page of spot check {check.number}. {ABSOLVES}",
    )
    return document(head, [Part("spot-check notice", listing_pages(head, listing))], printed=printed)
