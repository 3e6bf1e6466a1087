"""Texts and drawings that flow: pieces of a known height, poured into pages or halves of pages."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.paper.fonts import Style, width
from events.paper.page import FOOT, MARGIN, THIN, EventHead, Page, Pen, page_size
from events.paper.text import wrap

LEADING = 1.25  # line pitch as a multiple of the size

Draw = Callable[[Pen, float, float], None]  # pen, and the top left corner in points


@dataclass(frozen=True)
class Piece:
    """What is never cut: a line, a row, a drawing. `above` is blank and falls away at the top of a page."""

    height: float
    draw: Draw
    above: float = 0.0
    joins_next: bool = False


@dataclass(frozen=True)
class Sheet:
    """Pieces that flow. `again` heads every page after the first, `foot` stands at the bottom of each."""

    body: tuple[Piece, ...]
    again: tuple[Piece, ...] = ()
    foot: tuple[Piece, ...] = ()


@dataclass(frozen=True)
class Leaf:
    """The pieces of one page in a frame of `height` points."""

    pieces: tuple[Piece, ...]
    foot: tuple[Piece, ...]
    height: float

    def draw(self, pen: Pen, x: float, y: float) -> None:
        _stack(pen, self.pieces, x, y)
        _stack(pen, self.foot, x, y + self.height - tall(self.foot))


def tall(pieces: Sequence[Piece]) -> float:
    """The height of pieces under each other."""
    return sum(piece.height + (piece.above if index else 0.0) for index, piece in enumerate(pieces))


def _stack(pen: Pen, pieces: Sequence[Piece], x: float, y: float) -> None:
    for index, piece in enumerate(pieces):
        y += piece.above if index else 0.0
        piece.draw(pen, x, y)
        y += piece.height


def leaves(sheet: Sheet, height: float) -> tuple[Leaf, ...]:
    """The sheet in frames of one height, at least one. Pieces that join stay together where a frame can hold them."""
    room = height - (tall(sheet.foot) + 10 if sheet.foot else 0.0)
    full: list[tuple[Piece, ...]] = []
    page: tuple[Piece, ...] = ()
    for together in _joined(sheet.body):
        heads = len(sheet.again) if full else 0
        if len(page) > heads and tall((*page, *together)) > room:
            full.append(page)
            page = sheet.again
        for piece in together:  # taller than a frame: cut between its pieces
            if len(page) > len(sheet.again) and tall((*page, piece)) > room:
                full.append(page)
                page = sheet.again
            page = (*page, piece)
    return tuple(Leaf(pieces, sheet.foot, height) for pieces in (*full, page))


def _joined(pieces: Sequence[Piece]) -> list[tuple[Piece, ...]]:
    groups: list[tuple[Piece, ...]] = []
    group: tuple[Piece, ...] = ()
    for piece in pieces:
        group = (*group, piece)
        if not piece.joins_next:
            groups.append(group)
            group = ()
    return [*groups, group] if group else groups


def pages_of(head: EventHead, sheet: Sheet, *, landscape: bool = False) -> tuple[Page, ...]:
    """The sheet on the event's paper, within its margins and above the running footer."""
    _, page_h = page_size(head, landscape=landscape)
    found = leaves(sheet, page_h - 2 * MARGIN - FOOT)
    return tuple(Page(_at_margin(leaf), landscape) for leaf in found)


def _at_margin(leaf: Leaf) -> Callable[[Pen], None]:
    return lambda pen: leaf.draw(pen, MARGIN, MARGIN)


def page_room(head: EventHead, *, landscape: bool = False) -> tuple[float, float]:
    """Width and height in points that `pages_of` fills."""
    page_w, page_h = page_size(head, landscape=landscape)
    return page_w - 2 * MARGIN, page_h - 2 * MARGIN - FOOT


# --- Pieces ------------------------------------------------------------------------------------------------------


def prose(
    text: str,
    room: float,
    style: Style = Style.BODY,
    size: float = 10.0,
    *,
    above: float = 0.0,
    joins_next: bool = False,
) -> tuple[Piece, ...]:
    """A paragraph, line by line, complete. The first two lines stay together; `joins_next` keeps all of it with
    what follows."""
    lines = wrap(text, style, size, room)
    return tuple(
        Piece(
            size * LEADING,
            _line(line, style, size),
            above if index == 0 else 0.0,
            joins_next or (index == 0 and len(lines) > 1),
        )
        for index, line in enumerate(lines)
    )


def _line(text: str, style: Style, size: float) -> Draw:
    return lambda pen, x, y: pen.text(x, y + size, text, style, size)


def pair(
    heading: str, text: str, room: float, size: float, *, share: float = 0.22, above: float = 0.0
) -> tuple[Piece, ...]:
    """A heading at the left and its text beside it, line by line, so that a long text may go on overleaf."""
    left = room * share
    return beside(((heading, Style.BOLD, left), (text, Style.BODY, room - left)), size, above=above)


def beside(
    columns: Sequence[tuple[str, Style, float]], size: float, *, above: float = 0.0, gap: float = 8.0
) -> tuple[Piece, ...]:
    """Texts beside each other, each in its style and width, line by line; the first two lines stay together."""
    wrapped = [wrap(text, style, size, room - gap) for text, style, room in columns]
    lefts = [sum(room for _, _, room in columns[:index]) for index in range(len(columns))]
    count = max(map(len, wrapped))
    return tuple(
        Piece(
            size * LEADING,
            _together(
                tuple(
                    _moved(_line(lines[number], style, size), left)
                    for lines, left, (_, style, _) in zip(wrapped, lefts, columns, strict=True)
                    if number < len(lines)
                )
            ),
            above if number == 0 else 0.0,
            number == 0 and count > 1,
        )
        for number in range(count)
    )


def _moved(draw: Draw, by: float) -> Draw:
    return lambda pen, x, y: draw(pen, x + by, y)


def _together(draws: Sequence[Draw]) -> Draw:
    def drawn(pen: Pen, x: float, y: float) -> None:
        for draw in draws:
            draw(pen, x, y)

    return drawn


def row(columns: Sequence[tuple[str, Style, float]], size: float, *, weight: float = THIN) -> Piece:
    """Texts beside each other under a rule; one piece, since a row is read as one."""
    lines = beside(columns, size)
    room = sum(width_ for _, _, width_ in columns)
    height = tall(lines) + 6

    def drawn(pen: Pen, x: float, y: float) -> None:
        pen.rule(x, y, x + room, y, weight)
        _stack(pen, lines, x, y + 2)

    return Piece(height, drawn)


def rule(room: float, weight: float = THIN, *, above: float = 4.0) -> Piece:
    return Piece(5.0, lambda pen, x, y: pen.rule(x, y + 2, x + room, y + 2, weight), above, joins_next=True)


def boxed(pieces: Sequence[Piece], room: float, *, above: float = 4.0) -> Piece:
    """Pieces in a frame on a grey ground, as one; they were made for `room` − 16 points."""
    height = tall(pieces) + 10

    def drawn(pen: Pen, x: float, y: float) -> None:
        pen.tint(x, y, room, height)
        pen.box(x, y, room, height, 1.2)
        _stack(pen, pieces, x + 8, y + 4)

    return Piece(height, drawn, above)


def fits_one_line(text: str, style: Style, sizes: Sequence[float], room: float) -> float:
    """The first of the sizes (largest first) at which the text is one line, else the last: it then wraps."""
    return next((size for size in sizes if width(text, style, size) <= room), sizes[-1])
