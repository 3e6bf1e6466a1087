"""The statement on paper, one page, and as csv. Pure."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from events.sheets.safe import write_csv
from scoring.money.statement import Line, Section, Statement

SMALL = 8.0  # points, of a source


@dataclass(frozen=True)
class _Look:
    """How much a page takes: size of the words, lines of one group as one line, upright without the sources."""

    size: float
    folded: bool = False
    upright: bool = False


_LOOKS = (_Look(9.5), _Look(9.0), _Look(9.0, folded=True), _Look(9.0, folded=True, upright=True))


def statement_pdf(
    head: EventHead, statement: Statement, *, money: Callable[[int], str], note: str, printed: str
) -> bytes:
    """The statement in two columns, in the first look that fits one page; a longer one flows on.

    `note` says how the cash box was counted, under the title.
    """
    for look in _LOOKS:
        pages = listing_pages(head, _listing(head, statement, money, note, look))
        if len(pages) == 1:
            break
    return document(head, [Part("statement", pages)], printed=printed)


def _listing(
    head: EventHead, statement: Statement, money: Callable[[int], str], note: str, look: _Look
) -> Listing:
    label, source, amount = Column("", 46), Column("from", 33), Column("amount", 21, "right")
    narrow = (Column("", 70), Column("amount", 30, "right"))
    sections = [_folded(each) if look.folded else each for each in statement.sections]
    return Listing(
        "Money of the event",
        " · ".join(filter(None, (head.name, head.place, head.dates_text))),
        narrow if look.upright else (label, source, amount),
        tuple(
            Block(_rows(section, money, look), section.title, whole=True)
            for section in sections
            if section.lines
        ),
        frames=2,
        landscape=not look.upright,
        note=note,
    )


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


def _rows(section: Section, money: Callable[[int], str], look: _Look) -> tuple[Row, ...]:
    rows = [_row(line, money(line.cents), look, Style.BODY, look.size) for line in section.lines]
    total = Line(section.total_label, section.total)
    last = _row(total, money(total.cents), look, Style.BOLD, look.size + 1)
    return (*rows, replace(last, heavy=True, inside=False))


def _row(line: Line, amount: str, look: _Look, style: Style, size: float) -> Row:
    source = () if look.upright else (Cell(line.source, size=SMALL),)
    return Row((Cell(line.label, style, size), *source, Cell(amount, style, size)), inside=True)


def statement_csv(statement: Statement) -> bytes:
    """Every line and total with its amount as 12.34, and the open points at the end."""
    rows: list[tuple[str | Decimal | None, ...]] = [("part", "line", "amount", "source")]
    for section in statement.sections:
        rows += [(section.title, line.label, amount_of(line.cents), line.source) for line in section.lines]
        rows.append((section.title, f"total: {section.total_label}", amount_of(section.total), None))
    rows += [("open", sentence, None, None) for sentence in statement.open]
    return write_csv(rows)


def amount_of(cents: int) -> Decimal:
    """12.34, exactly."""
    return Decimal(cents).scaleb(-2)
