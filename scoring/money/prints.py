"""The statement on paper, one page, and as csv. Pure."""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import replace

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from scoring.money.statement import Line, Section, Statement

CSV_HEAD = ("part", "line", "amount", "source")
# Sizes of a row's words and of its source, and whether lines of one group are one line.
_LOOKS = ((9.5, 8.0, False), (9.0, 8.0, False), (9.0, 8.0, True))


def statement_pdf(
    head: EventHead, statement: Statement, *, money: Callable[[int], str], note: str, printed: str
) -> bytes:
    """The statement in two columns, in the first look that fits one page; a longer one flows on.

    `note` says how the cash box was counted, under the title.
    """
    for size, small, folded in _LOOKS:
        sections = [_folded(each) if folded else each for each in statement.sections]
        pages = listing_pages(head, _listing(head, sections, money, note, size, small))
        if len(pages) == 1:
            break
    return document(head, [Part("statement", pages)], printed=printed)


def _listing(
    head: EventHead,
    sections: Sequence[Section],
    money: Callable[[int], str],
    note: str,
    size: float,
    small: float,
) -> Listing:
    columns = (Column("", 46), Column("from", 33), Column("amount", 21, "right"))
    blocks = [
        Block(_rows(section, money, size, small), section.title, whole=True)
        for section in sections
        if section.lines
    ]
    under = " · ".join(filter(None, (head.name, head.place, head.dates_text)))
    return Listing("Money of the event", under, columns, tuple(blocks), frames=2, landscape=True, note=note)


def _folded(section: Section) -> Section:
    """Lines of one group as one line, where there are too many for the page."""
    kept: dict[str, Line] = {}
    for line in section.lines:
        key = line.group or line.label
        before = kept.get(key)
        kept[key] = (
            line if before is None else Line(line.group, before.cents + line.cents, line.source, line.group)
        )
    return replace(section, lines=tuple(kept.values()))


def _rows(section: Section, money: Callable[[int], str], size: float, small: float) -> tuple[Row, ...]:
    rows = [_row(line, money, size, small) for line in section.lines]
    total = Cell(money(section.total), Style.BOLD, size + 1)
    rows.append(Row((Cell(section.total_label, Style.BOLD, size + 1), Cell(), total), heavy=True))
    return tuple(rows)


def _row(line: Line, money: Callable[[int], str], size: float, small: float) -> Row:
    return Row(
        (Cell(line.label, size=size), Cell(line.source, size=small), Cell(money(line.cents), size=size)),
        inside=True,
    )


def statement_csv(statement: Statement) -> str:
    """Every line and total with its amount as 12.34, and the open points at the end."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(CSV_HEAD)
    for section in statement.sections:
        for line in section.lines:
            writer.writerow((section.title, line.label, plain(line.cents), line.source))
        writer.writerow((section.title, f"total: {section.total_label}", plain(section.total), ""))
    for sentence in statement.open:
        writer.writerow(("open", sentence, "", ""))
    return out.getvalue()


def plain(cents: int) -> str:
    """12.34 or -0.05, for a spreadsheet."""
    whole, part = divmod(abs(cents), 100)
    return f"{'-' if cents < 0 else ''}{whole}.{part:02d}"
