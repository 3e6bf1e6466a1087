"""Paper of the check-in desk: the list by surname for when the laptop dies, and slips with codes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import FOOT, MARGIN, EventHead, Page, Part, Pen, document, page_size
from events.paper.text import MISSING, collation, initial, money, wrap

SLIPS_ACROSS, SLIPS_DOWN = 2, 4
_SLIP_QR = 104.0


@dataclass(frozen=True)
class CheckInRow:
    """One entrant on the list. `owed_cents` None is not known; `listed` is how the name is filed."""

    listed: str
    division: str
    member_number: str | None = None
    owed_cents: int | None = None
    pack: str = ""
    checked_in: bool = False
    membership_missing: bool = False
    guardian_missing: bool = False
    conduct_unsigned: bool = False
    note: str = ""

    def flags(self) -> tuple[str, ...]:
        """What the desk has to ask for, in words."""
        asked = (
            ("membership", self.membership_missing),
            ("guardian", self.guardian_missing),
            ("conduct note to sign", self.conduct_unsigned),
        )
        return tuple(word for word, due in asked if due) + ((self.note,) if self.note else ())


@dataclass(frozen=True)
class CheckInSlip:
    """One entrant's slip: `code` is printed, `qr` is what the QR code holds (the code itself if empty)."""

    name: str
    division: str
    code: str
    member_number: str | None = None
    qr: str = ""
    listed: str = ""


def checkin_list(
    head: EventHead, rows: Sequence[CheckInRow], *, subtitle: str = "", printed: str = "", version: str = ""
) -> bytes:
    """The list by surname, a heading for each first letter, as PDF."""
    columns = (
        Column("in", 5),
        Column("name", 36),
        Column("division", 11),
        Column("number", 12),
        Column(f"owed {head.currency}", 13, "right"),
        Column("pack", 13),
        Column("to ask for", 24),
    )
    ordered = sorted(rows, key=lambda row: (collation(row.listed), row.member_number or ""))
    blocks = tuple(
        Block(tuple(_checkin_row(row) for row in same), letter)
        for letter, same in groupby(ordered, key=lambda row: initial(row.listed))
    )
    counted = f"{len(rows)} entrants, {sum(row.checked_in for row in rows)} checked in when this was printed"
    under = " · ".join(filter(None, (head.name, head.dates_text, subtitle, counted)))
    listing = Listing("Check-in by surname", under, columns, blocks)
    part = Part("check-in list", listing_pages(head, listing))
    return document(head, [part], printed=printed, version=version)


def _checkin_row(row: CheckInRow) -> Row:
    due = row.owed_cents is not None and row.owed_cents > 0
    return Row(
        (
            Cell(box=True, size=11, ticked=row.checked_in),
            Cell(row.listed, Style.BOLD, 10.5),
            Cell(row.division),
            Cell(row.member_number or MISSING),
            Cell(money(row.owed_cents), Style.BOLD if due else Style.BODY),
            Cell(row.pack, size=9.5),
            Cell("; ".join(row.flags()), Style.BOLD, 9),
        )
    )


def checkin_slips(head: EventHead, slips: Sequence[CheckInSlip], *, printed: str = "") -> bytes:
    """Eight slips to a page with lines to cut along, in the order of the listed names."""
    ordered = sorted(slips, key=lambda slip: (collation(slip.listed or slip.name), slip.code))
    page = SLIPS_ACROSS * SLIPS_DOWN
    pages = tuple(Page(_slip_page(head, ordered[i : i + page])) for i in range(0, max(1, len(ordered)), page))
    return document(head, [Part("check-in slips", pages)], printed=printed)


def _slip_page(head: EventHead, slips: Sequence[CheckInSlip]) -> Callable[[Pen], None]:
    page_w, page_h = page_size(head)
    w = (page_w - 2 * MARGIN) / SLIPS_ACROSS
    h = (page_h - 2 * MARGIN - FOOT) / SLIPS_DOWN

    def draw(pen: Pen) -> None:
        for index, slip in enumerate(slips):
            x, y = MARGIN + index % SLIPS_ACROSS * w, MARGIN + index // SLIPS_ACROSS * h
            pen.box(x, y, w, h)
            pen.qr(x + w - _SLIP_QR - 16, y + (h - _SLIP_QR) / 2, _SLIP_QR, slip.qr or slip.code)
            room = w - _SLIP_QR - 44
            _slip_top(pen, slip, x + 14, y + 14, room)
            _slip_foot(pen, (slip.code, head.name), x + 14, y + h - 12, room)

    return draw


def _slip_top(pen: Pen, slip: CheckInSlip, x: float, y: float, room: float) -> None:
    """Name, division and number; a long name takes more lines, never less than 10 pt."""
    size = next((s for s in (16.0, 14.0, 12.0) if len(wrap(slip.name, Style.BOLD, s, room)) <= 2), 10.0)
    for line in wrap(slip.name, Style.BOLD, size, room):
        y += size * 1.15
        pen.text(x, y, line, Style.BOLD, size)
    pen.text(x, y + 26, slip.division, Style.HEAD, 20)
    pen.text(x, y + 42, slip.member_number or "no member number", size=10)


def _slip_foot(pen: Pen, texts: tuple[str, str], x: float, bottom: float, room: float) -> None:
    """The code in letters and, under it, the event, both in as many lines as they need."""
    code, event = texts
    lines = [(line, Style.BOLD, 14.0) for line in wrap(code, Style.BOLD, 14, room)]
    lines += [(line, Style.BODY, 9.0) for line in wrap(event, Style.BODY, 9, room)]
    y = bottom - sum(size * 1.2 for _, _, size in lines)
    for text, style, size in lines:
        y += size * 1.2
        pen.text(x, y - 2, text, style, size)
