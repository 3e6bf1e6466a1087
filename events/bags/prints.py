"""Paper of bags: the declaration, the equipment desk's list, the record of weighings, the keepsake sheet."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from events.paper.text import MISSING, collation

NOT_A_LIMIT = (
    "A declaration, not a limit: nothing in the rules counts the discs, and discs may join during the round"
    " (Official Rules 813.01; Q&A QA-EQU-3). Only throwing an illegal disc is penalised (813.01.G)."
)
KEEPSAKE = (
    "Permanent ink is an allowed change (Official Rules 813.01.B); paint or anything of a thickness to feel is not"
    " (813.01.C). Signatures are not the owner's mark unless they name who throws the disc (813.01.H)."
)


@dataclass(frozen=True, slots=True)
class PieceLine:
    """One piece on a declaration. `change` is "in", "late 10:42" or ""; a mass not known is None."""

    number: int
    model: str
    looks: str = ""
    role: str = ""
    stamped_g: Decimal | None = None
    mark: str = ""
    change: str = ""


@dataclass(frozen=True, slots=True)
class DeclarationSheet:
    """One player's bag of one round; `out` names the pieces that were in the bag of the round before."""

    name: str
    division: str
    round: str
    declared: str
    pieces: tuple[PieceLine, ...]
    out: tuple[str, ...] = ()
    qr: str = ""


@dataclass(frozen=True, slots=True)
class DeskLine:
    """One player on the equipment desk's list; `open` says in words what is not settled."""

    listed: str
    division: str
    code: str
    pieces: int | None
    weighed: int
    open: str = ""
    drawn: bool = False


@dataclass(frozen=True, slots=True)
class WeighingLine:
    """One weighing as it was written down; grams with the digits that the scale shows, `list` the one it went by."""

    at: str
    player: str
    piece: str
    reading: str
    limit: str
    formula: str
    decision: str
    probability: str
    scale: str
    check: str
    by: str
    list: str = ""


@dataclass(frozen=True, slots=True)
class KeepsakeGroup:
    """A group whose players sign each other's keepsake disc."""

    round: str
    group: int
    start: str
    names: tuple[str, ...]


def grams(mass: Decimal | None) -> str:
    """Grams with one decimal, or the sign for what is missing."""
    return MISSING if mass is None else f"{mass:.1f}"


def declarations(head: EventHead, sheets: Sequence[DeclarationSheet], *, printed: str = "") -> bytes:
    """A page or more for each player, by surname as handed in, with a line to sign."""
    parts = [Part(f"bag of {sheet.name}", listing_pages(head, _declaration(sheet))) for sheet in sheets]
    return document(head, parts or [Part("bags", listing_pages(head, _empty("Bags")))], printed=printed)


def _declaration(sheet: DeclarationSheet) -> Listing:
    columns = (
        Column("no.", 6, "right"),
        Column("model", 30),
        Column("plastic, colour", 22),
        Column("role", 18),
        Column("stamped g", 12, "right"),
        Column("owner's mark", 18),
        Column("since last", 15),
    )
    rows = tuple(
        Row(
            (
                Cell(str(piece.number), Style.BOLD),
                Cell(piece.model),
                Cell(piece.looks, size=9.5),
                Cell(piece.role, size=9.5),
                Cell(grams(piece.stamped_g)),
                Cell(piece.mark or MISSING, size=9.5),
                Cell(piece.change, Style.BOLD, 9.5),
            )
        )
        for piece in sheet.pieces
    )
    # A bag that nobody has told of is no bag of 0 discs: lines to tell of it by hand.
    count = "" if not rows else "1 disc" if len(rows) == 1 else f"{len(rows)} discs"
    under = " · ".join(filter(None, (sheet.division, sheet.round, count, sheet.declared)))
    out = f"Out since last round: {', '.join(sheet.out)}. " if sheet.out else ""
    return Listing(
        f"Bag of {sheet.name}",
        under,
        columns,
        (Block(rows or _BY_HAND),),
        note=out + NOT_A_LIMIT,
        qr=sheet.qr,
        foot=("signed by the player", "taken at the desk by, at"),
    )


_BY_HAND = tuple(Row((Cell(size=13), *(Cell() for _ in range(6)))) for _ in range(25))


def desk_list(head: EventHead, round_words: str, lines: Sequence[DeskLine], *, printed: str = "") -> bytes:
    """Who is expected at the equipment desk, by surname, with room to write."""
    columns = (
        Column("seen", 6),
        Column("name", 30),
        Column("division", 11),
        Column("code", 15),
        Column("discs", 8, "right"),
        Column("weighed", 9, "right"),
        Column("open", 28),
        Column("notes", 17),
    )
    ordered = sorted(lines, key=lambda line: (not line.drawn, collation(line.listed), line.code))
    drawn = tuple(_desk_row(line) for line in ordered if line.drawn)
    others = tuple(_desk_row(line) for line in ordered if not line.drawn)
    blocks = tuple(
        Block(rows, heading)
        for rows, heading in ((drawn, "Drawn for a spot check"), (others, "Everybody else" if drawn else ""))
        if rows
    )
    note = "A drawn bag is weighed whole. Nothing here penalises: it says what not to throw."
    listing = Listing("Equipment desk", f"{head.name} · {round_words}", columns, blocks, note=note)
    return document(head, [Part("equipment desk", listing_pages(head, listing))], printed=printed)


def _desk_row(line: DeskLine) -> Row:
    return Row(
        (
            Cell(box=True, size=11),
            Cell(line.listed, Style.BOLD, 10.5),
            Cell(line.division),
            Cell(line.code, size=9.5),
            Cell(MISSING if line.pieces is None else str(line.pieces)),
            Cell(str(line.weighed)),
            Cell(line.open, Style.BOLD, 9.5),
            Cell(),
        )
    )


def weighing_record(
    head: EventHead, words: str, lines: Sequence[WeighingLine], *, note: str, printed: str = ""
) -> bytes:
    """Every weighing in the order in which it was made; nothing is left out, second weighings included."""
    columns = (
        Column("time", 10),
        Column("player", 22),
        Column("piece", 24),
        Column("reading g", 11, "right"),
        Column("limit g", 10, "right"),
        Column("formula g", 10, "right"),
        Column("decision", 14),
        Column("p within", 10, "right"),
        Column("scale", 14),
        Column("last check", 18),
        Column("by", 14),
    )
    rows = tuple(
        Row(
            (
                Cell(line.at, size=9),
                Cell(line.player, Style.BOLD, 9.5),
                Cell(line.piece, size=9),
                Cell(line.reading, Style.BOLD, 9.5),
                Cell(line.limit, size=9.5),
                Cell(line.formula, size=9.5),
                Cell(line.decision, Style.BOLD, 9.5),
                Cell(line.probability, size=9.5),
                Cell(line.scale, size=9),
                Cell(line.check, size=9),
                Cell(line.by, size=9),
            )
        )
        for line in lines
    )
    listing = Listing(
        "Record of weighings",
        f"{head.name} · {words}",
        columns,
        (Block(rows),) if rows else (),
        landscape=True,
        note=note,
    )
    return document(head, [Part("record of weighings", listing_pages(head, listing))], printed=printed)


def keepsakes(head: EventHead, groups: Sequence[KeepsakeGroup], *, printed: str = "") -> bytes:
    """A list for each group: whose disc, and a line for each companion to sign on paper too."""
    blocks = tuple(
        Block(
            tuple(
                Row(
                    (
                        Cell(name, Style.BOLD, 10.5),
                        *(Cell() for _ in range(_COMPANIONS)),
                        Cell(box=True, size=11),
                    )
                )
                for name in group.names
            ),
            f"Group {group.group}, {group.start}",
            whole=True,
        )
        for group in groups
    )
    columns = (
        Column("whose disc", 30),
        *(Column("signed by" if index == 0 else "", 16) for index in range(_COMPANIONS)),
        Column("done", 6),
    )
    under = (
        " · ".join((head.name, groups[0].round)) if groups else f"{head.name} · no tee sheet is published yet"
    )
    listing = Listing("Keepsake discs", under, columns, blocks, note=KEEPSAKE)
    return document(head, [Part("keepsake discs", listing_pages(head, listing))], printed=printed)


_COMPANIONS = 4


def _empty(title: str) -> Listing:
    return Listing(title, "", (Column("", 1),), ())
