"""The penalty catalogue on one page for officials: name, throws, where they are written, section."""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Page, Part, document
from scoring.penalties.catalogue import HOLE, Penalty, by_chapter

_SIZES = (10.5, 10.0, 9.5, 9.0)  # the first that fits one page; the last flows on
_SHORT = {"Official Rules 2025, ": "", "Competition Manual 2025, ": "Manual "}
_NOTE = (
    "One penalty for one throw: the heaviest, of equal ones the first. A warning holds for its rule and its round."
    " Throws are called by a player or an official and confirmed by another; one’s own call and an official’s need"
    " nobody (801.02). Throws are written on the hole unless it says otherwise."
    " Sections are of the Official Rules 2025, or of the Competition Manual 2025 where it says Manual."
)


def penalty_sheet(head: EventHead, rows: Iterable[Penalty], *, on: date, printed: str = "") -> bytes:
    """The catalogue as PDF; `on` is the day whose rules it holds."""
    return document(head, [Part("penalties", _pages(head, list(rows), on))], printed=printed)


def _pages(head: EventHead, rows: list[Penalty], on: date) -> tuple[Page, ...]:
    tried = (listing_pages(head, _listing(head, rows, on, size)) for size in _SIZES)
    found: tuple[Page, ...] = ()
    for pages in tried:
        found = pages
        if len(pages) == 1:
            break
    return found


def _listing(head: EventHead, rows: list[Penalty], on: date, size: float) -> Listing:
    return Listing(
        title="Penalties by name",
        subtitle=f"{head.name} · as in force on {on.day} {on:%B %Y}",
        columns=(Column("what happened", 53), Column("throws", 21), Column("section", 26)),
        blocks=tuple(
            Block(tuple(_row(row, size) for row in _shortened(held)), heading=chapter)
            for chapter, held in by_chapter(rows)
        ),
        frames=2,
        note=_NOTE,
    )


def _shortened(rows: Iterable[Penalty]) -> list[Penalty]:
    """Rows that say the same of the kinds of one thing ("Courtesy: …") as one, under the section that they share."""
    found: dict[tuple[str, str, str], list[Penalty]] = {}
    for row in rows:
        found.setdefault((row.name.partition(": ")[0], row.figure, row.booked), []).append(row)
    return [held[0] if len(held) == 1 else _as_one(name, held) for (name, *_), held in found.items()]


def _as_one(name: str, rows: list[Penalty]) -> Penalty:
    source = min((row.source for row in rows), key=len)
    changed = next((row.changed for row in rows if row.changed), "")
    return replace(rows[0], name=f"{name}, each rule of it", source=source, changed=changed)


def _row(row: Penalty, size: float) -> Row:
    under = [] if row.booked == HOLE else [row.booked]
    under += ["once a round"] if row.once else []
    under += ["changed for this event"] if row.changed else []
    figure = row.figure.replace("warning, then", "warning,")
    return Row(
        (
            Cell(row.name, Style.BOLD, size, below=", ".join(under)),
            Cell(figure, Style.BOLD, size),
            Cell(_section(row.source), Style.BODY, 9.0),
        )
    )


def _section(source: str) -> str:
    """The source in short; a misplay's name in brackets is the row's own."""
    for document_name, short in _SHORT.items():
        source = source.replace(document_name, short)
    return re.sub(r"^(811\.F) \([a-z -]+\)", r"\1", source)
