"""Paper of the prizes: the payout to hang up, receipts to sign, the list to hand out by. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import FOOT, MARGIN, EventHead, Page, Part, Pen, document, page_size
from events.paper.text import money, wrap
from scoring.prizes.posting import Base

RECEIPTS_DOWN = 5


@dataclass(frozen=True, slots=True)
class Receipt:
    """One player's prize; `cents` 0 for a trophy alone, `prize` as it is said."""

    name: str
    division: str
    place: int
    tied: bool
    cents: int
    prize: str
    handed: str = ""


def payout_sheet(head: EventHead, bases: Sequence[Base], *, added: int, version: str, printed: str) -> bytes:
    """The prizes by place of every division, without a name, as PDF."""
    columns = (Column("place", 1, "right"), Column("prize", 2, "right"), Column("", 2))
    blocks = tuple(_payout_block(head, base) for base in bases if base.players)
    parts = [head.name, head.dates_text, version]
    if added:
        parts.append(
            f"added cash {money(added)} {head.currency}, in the purses of the professional divisions"
        )
    note = (
        "Tied players share the prizes of the places they span. A declined prize moves every prize below it up to the "
        "next finisher."
    )
    note = " ".join([note, *_ways(bases)])
    listing = Listing("Payout", " · ".join(filter(None, parts)), columns, blocks, frames=2, note=note)
    return document(head, [Part("payout", listing_pages(head, listing))], printed=printed)


def _ways(bases: Sequence[Base]) -> list[str]:
    """By which table or curve each division is paid, and where that comes from, divisions of one way together."""
    codes: dict[tuple[str, str], list[str]] = {}
    for base in bases:
        if base.players and base.prizes and base.words:
            codes.setdefault((base.words, base.source), []).append(base.code)
    said = []
    for (words, source), found in codes.items():
        where = f" ({source.rstrip('.')})" if source else ""
        said.append(f"{', '.join(found)}: {words}{where}.")
    return said


def _payout_block(head: EventHead, base: Base) -> Block:
    heading = base.code if base.true_amateur else f"{base.code} · {money(base.purse)} {head.currency}"
    beside = [f"{base.players} player{'' if base.players == 1 else 's'}", *_payout_kind(base)]
    prizes: list[int | None] = [*base.without_ties]
    prizes += [None] * (len(beside) - len(prizes))
    rows = tuple(
        Row(
            (
                Cell("" if prize is None else str(place), Style.BOLD, 12),
                Cell("" if prize is None else money(prize), size=12),
                Cell(beside[place - 1] if place <= len(beside) else "", size=9.5),
            )
        )
        for place, prize in enumerate(prizes, start=1)
    )
    return Block(rows, heading, whole=True)


def _payout_kind(base: Base) -> list[str]:
    """What else there is to know of a division's prizes, a few words each."""
    words = []
    if not base.professional and not base.true_amateur:
        words.append("in vouchers" if base.amateur_kind == "voucher" else "in merchandise")
    if base.trophies:
        words.append("1 trophy" if base.trophies == 1 else f"{base.trophies} trophies")
    return words


def hand_out_list(
    head: EventHead, divisions: Sequence[tuple[str, Sequence[Receipt]]], *, printed: str
) -> bytes:
    """Every prize by division and place, with a box to tick and a line to sign, as PDF."""
    columns = (
        Column("place", 10, "right"),
        Column("player", 28),
        Column("prize", 26),
        Column("out", 6),
        Column("received: signature", 30),
    )
    blocks = tuple(
        Block(tuple(_hand_out_row(each) for each in receipts), code)
        for code, receipts in divisions
        if receipts
    )
    under = f"{head.name} · {head.dates_text} · amounts in {head.currency}"
    listing = Listing("Prizes to hand out", under, columns, blocks)
    return document(head, [Part("prizes to hand out", listing_pages(head, listing))], printed=printed)


def _hand_out_row(receipt: Receipt) -> Row:
    place = f"{receipt.place}{' tied' if receipt.tied else ''}"
    return Row(
        (
            Cell(place, Style.BOLD, 11),
            Cell(receipt.name, Style.BOLD, 12),
            Cell(receipt.prize, size=11),
            Cell(box=True, size=14, ticked=bool(receipt.handed)),
            Cell(receipt.handed, size=9),
        )
    )


def receipts(head: EventHead, found: Sequence[Receipt], *, printed: str) -> bytes:
    """A receipt for each player, five to a page with lines to cut along, as PDF."""
    starts = range(0, max(1, len(found)), RECEIPTS_DOWN)
    pages = tuple(Page(_receipt_page(head, found[at : at + RECEIPTS_DOWN])) for at in starts)
    return document(head, [Part("receipts", pages)], printed=printed)


def _receipt_page(head: EventHead, found: Sequence[Receipt]) -> Callable[[Pen], None]:
    page_w, page_h = page_size(head)
    w, h = page_w - 2 * MARGIN, (page_h - 2 * MARGIN - FOOT) / RECEIPTS_DOWN

    def draw(pen: Pen) -> None:
        if not found:
            pen.text(MARGIN, MARGIN + 20, "No prize is due to anybody yet.", size=12)
        for index, each in enumerate(found):
            _receipt(pen, head, each, MARGIN + index * h, w, h)

    return draw


def _receipt(pen: Pen, head: EventHead, each: Receipt, top: float, w: float, h: float) -> None:
    """Name and amount large, the event and the place under them, lines for date and signature at the foot."""
    pen.box(MARGIN, top, w, h)
    left, right, y = MARGIN + 14, MARGIN + w - 14, top + 14.0
    amount = f"{money(each.cents)} {head.currency}" if each.cents else each.prize
    for line in wrap(each.name, Style.BOLD, 17, w - 230)[:2]:
        y += 18
        pen.text(left, y, line, Style.BOLD, 17)
    pen.text(right, top + 34, amount, Style.HEAD, 24, align="right")
    place = f"place {each.place}{', tied' if each.tied else ''}"
    for line in wrap(f"{each.division}, {place}: {each.prize}", Style.BODY, 11, w - 28):
        y += 15
        pen.text(left, y, line, size=11)
    for line in wrap(f"{head.name}, {head.dates_text}", Style.BODY, 10, w - 28):
        y += 13
        pen.text(left, y, line, size=10)
    foot = top + h - 24
    for label, x1, x2 in (
        ("handed out as", left, left + w * 0.24),
        ("date", left + w * 0.28, left + w * 0.45),
        ("received: signature", left + w * 0.49, right),
    ):
        pen.rule(x1, foot, x2, foot)
        pen.text(x1, foot + 11, label, size=9)
    if each.handed:
        pen.text(left, foot - 4, each.handed, size=10)
