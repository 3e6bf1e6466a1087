"""The statement on paper, one page, and as csv. Pure."""

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from scoring.money.statement import Line, Section, Statement

CSV_HEAD = ("part", "line", "amount", "source")
_SIZES = ((9.5, 8.0), (9.0, 7.5), (8.5, 7.5))  # of a row's words and of its source


@dataclass(frozen=True)
class Extra:
    """What stands under the statement: cash box, difference and its reason, as lines of words."""

    heading: str
    lines: tuple[str, ...]


def statement_pdf(
    head: EventHead, statement: Statement, *, money: Callable[[int], str], extra: Extra, printed: str
) -> bytes:
    """The statement in the largest of three sizes that fits one page; a longer one flows on."""
    for words, small in _SIZES:
        pages = listing_pages(head, _listing(head, statement, money, extra, words, small))
        if len(pages) == 1:
            break
    return document(head, [Part("statement", pages)], printed=printed)


def _listing(
    head: EventHead,
    statement: Statement,
    money: Callable[[int], str],
    extra: Extra,
    size: float,
    small: float,
) -> Listing:
    columns = (Column("", 46), Column("from", 34), Column("amount", 20, "right"))
    blocks = [
        Block(_rows(section, money, size, small), section.title, whole=True)
        for section in statement.sections
        if section.lines
    ]
    if extra.lines:
        words = tuple(Row((Cell(line, size=size), Cell(), Cell())) for line in extra.lines)
        blocks.append(Block(words, extra.heading, whole=True))
    under = " · ".join(filter(None, (head.name, head.place, head.dates_text)))
    return Listing("Money of the event", under, columns, tuple(blocks))


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
