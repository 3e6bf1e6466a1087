"""Lists that flow over pages: columns, rows that wrap, headings that stay with their rows."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.page import FOOT, MARGIN, THICK, THIN, Align, EventHead, Page, Pen, page_size
from events.paper.text import fitting_size, wrap

_LEADING = 1.2  # line pitch as a multiple of the size
_PAD = 3.0  # points above and below the text of a row
_TIGHT = 0.5  # the same between rows of one group
_GUTTER = 24.0  # between two columns of the page
_HEADING_SIZE = 15.0
_COLUMN_HEADING_SIZE = 8.5
_COLUMN_HEADINGS = 16.0  # height of the row of column headings
_INSET = 3.0  # points left and right of a cell's text
_QR = 76.0
_WRITTEN = 34.0  # height of a line to write on
_AFTER_FIGURES = 10.0  # points right of figures set to the right, so that they do not touch the next column


@dataclass(frozen=True)
class Column:
    """One column; `share` divides the width of the frame among the columns."""

    heading: str
    share: float
    align: Align = "left"


@dataclass(frozen=True)
class Cell:
    """What stands in one column of a row: a main text, a smaller line below it, or a box to tick."""

    text: str = ""
    style: Style = Style.BODY
    size: float = 10.0
    below: str = ""
    box: bool = False
    ticked: bool = False


@dataclass(frozen=True)
class Row:
    """Cells in the order of the columns. A row with `joins_next` is not parted from the row after it."""

    cells: tuple[Cell, ...]
    joins_next: bool = False
    heavy: bool = False  # a thicker rule above, where a new group begins
    inside: bool = False  # no rule above, inside a group


@dataclass(frozen=True)
class Block:
    """Rows under a heading that is repeated where they go on; `whole`: kept on one page if it fits."""

    rows: tuple[Row, ...]
    heading: str = ""
    whole: bool = False


@dataclass(frozen=True)
class Listing:
    """A list as it is to be laid out; `frames` is the number of columns of the page."""

    title: str
    subtitle: str
    columns: tuple[Column, ...]
    blocks: tuple[Block, ...]
    frames: int = 1
    landscape: bool = False
    note: str = ""
    qr: str = ""  # at the right of the title, on every page
    foot: tuple[str, ...] = ()  # lines to write on, under the rows of the last page


@dataclass(frozen=True)
class _Placed:
    """A heading or a measured row at its place in a frame."""

    y: float
    heading: str = ""
    row: Row | None = None
    height: float = 0.0


def _lines(cell: Cell, room: float) -> list[tuple[str, Style, float]]:
    """The cell's lines as (text, style, size); complete, however many they are."""
    main = [(line, cell.style, cell.size) for line in wrap(cell.text, cell.style, cell.size, room)]
    small = max(8.0, cell.size - 2)
    return main + [(line, Style.BODY, small) for line in wrap(cell.below, Style.BODY, small, room)]


@dataclass(frozen=True)
class _Frame:
    """The columns with their widths in points, wherever on the page the frame stands."""

    columns: tuple[Column, ...]
    widths: tuple[float, ...]

    @property
    def width(self) -> float:
        return sum(self.widths)

    def lines(self, row: Row) -> list[list[tuple[str, Style, float]]]:
        """The lines of each cell of the row."""
        return [
            _lines(cell, width - _INSET - (_AFTER_FIGURES if column.align == "right" else _INSET))
            for column, width, cell in zip(self.columns, self.widths, row.cells, strict=True)
        ]

    def height(self, row: Row) -> float:
        """How tall the row is, in points."""
        first = _first_size(row)
        text = max(
            first * _LEADING + sum(size * _LEADING for _, _, size in lines[1:]) for lines in self.lines(row)
        )
        return text + _pad_above(row) + (_TIGHT if row.joins_next else _PAD)


def _pad_above(row: Row) -> float:
    return _TIGHT if row.inside else _PAD


def _first_size(row: Row) -> float:
    """The largest size of the row's first line: all its cells stand on one baseline."""
    return max((cell.size for cell in row.cells if cell.text or cell.box), default=10.0)


class _Flow:
    """Puts blocks into frames of one height, top down."""

    def __init__(self, frame: _Frame, room: float) -> None:
        self._frame = frame
        self._room = room
        self._y = 0.0
        self.frames: list[list[_Placed]] = [[]]

    def add(self, block: Block) -> None:
        heights = [self._frame.height(row) for row in block.rows]
        head = _HEADING_SIZE * 1.7 if block.heading else 0.0
        total = head + sum(heights)
        if block.whole and total > self._room - self._y and total <= self._room:
            self._turn()
        begun = False
        for first, last in _joined(block.rows):
            need = sum(heights[first:last])
            if self._y and need + (0.0 if begun else head) > self._room - self._y:
                self._turn()
                if begun:
                    self._heading(f"{block.heading} (continued)" if block.heading else "", head)
            if not begun:
                self._heading(block.heading, head)
                begun = True
            for row, height in zip(block.rows[first:last], heights[first:last], strict=True):
                self._place(_Placed(self._y, row=row, height=height), height)

    def _turn(self) -> None:
        if self.frames[-1]:
            self.frames.append([])
        self._y = 0.0

    def _heading(self, heading: str, height: float) -> None:
        if heading:
            self._place(_Placed(self._y, heading=heading, height=height), height)

    def _place(self, item: _Placed, height: float) -> None:
        self.frames[-1].append(item)
        self._y += height


def _joined(rows: Sequence[Row]) -> list[tuple[int, int]]:
    """Ranges of rows that must stay together."""
    ranges: list[tuple[int, int]] = []
    first = 0
    for index, row in enumerate(rows):
        if not row.joins_next or index == len(rows) - 1:
            ranges.append((first, index + 1))
            first = index + 1
    return ranges


def listing_pages(head: EventHead, listing: Listing) -> tuple[Page, ...]:
    """The pages of the list; at least one, which then says that there is nothing to show."""
    page_w, page_h = page_size(head, landscape=listing.landscape)
    frame_w = (page_w - 2 * MARGIN - _GUTTER * (listing.frames - 1)) / listing.frames
    shares = sum(column.share for column in listing.columns)
    frame = _Frame(listing.columns, tuple(frame_w * column.share / shares for column in listing.columns))
    head_lines = _head_lines(listing, page_w - 2 * MARGIN - (_QR + 14 if listing.qr else 0))
    head_height = sum(size * _LEADING for _, _, size in head_lines)
    top = MARGIN + max(head_height, _QR if listing.qr else 0) + 6
    foot = _WRITTEN * len(listing.foot)
    flow = _Flow(frame, page_h - MARGIN - FOOT - top - _COLUMN_HEADINGS - foot)
    for block in listing.blocks:
        flow.add(block)
    sheets = [flow.frames[i : i + listing.frames] for i in range(0, len(flow.frames), listing.frames)]
    drawn = [_drawer(frame, placed, head_lines, top) for placed in sheets]
    pages = [_with_extras(draw, listing, last=draw is drawn[-1]) for draw in drawn]
    return tuple(Page(draw, listing.landscape) for draw in pages)


def _with_extras(draw: Callable[[Pen], None], listing: Listing, *, last: bool) -> Callable[[Pen], None]:
    """The page with the code at its head and, if it is the last, the lines to write on at its foot."""

    def drawn(pen: Pen) -> None:
        draw(pen)
        if listing.qr:
            pen.qr(pen.width - MARGIN - _QR, MARGIN, _QR, listing.qr)
        for index, label in enumerate(listing.foot if last else ()):
            y = pen.height - MARGIN - FOOT - _WRITTEN * (len(listing.foot) - index) + _WRITTEN - 8
            pen.text(MARGIN, y, label, size=9.5)
            pen.rule(MARGIN + 150, y, pen.width - MARGIN, y)

    return drawn


def _head_lines(listing: Listing, room: float) -> list[tuple[str, Style, float]]:
    """Title, subtitle and note in lines that fit the page."""
    size = fitting_size(listing.title, Style.HEAD, (26, 22, 18), room) or 16
    lines = [(line, Style.HEAD, size) for line in wrap(listing.title, Style.HEAD, size, room)]
    lines += [(line, Style.BODY, 10.5) for line in wrap(listing.subtitle, Style.BODY, 10.5, room)]
    return lines + [(line, Style.BODY, 9.5) for line in wrap(listing.note, Style.BODY, 9.5, room)]


def _drawer(
    frame: _Frame,
    sheet: Sequence[Sequence[_Placed]],
    head_lines: Sequence[tuple[str, Style, float]],
    top: float,
) -> Callable[[Pen], None]:
    def draw(pen: Pen) -> None:
        y = MARGIN
        for text, style, size in head_lines:
            pen.text(MARGIN, y + size * 0.85, text, style, size)
            y += size * _LEADING
        if not any(sheet):
            pen.text(MARGIN, top + 30, "Nothing to show yet.", size=11)
        for index, placed in enumerate(sheet):
            if placed:
                _draw_frame(pen, frame, placed, (MARGIN + index * (frame.width + _GUTTER), top))

    return draw


def _draw_frame(pen: Pen, frame: _Frame, placed: Sequence[_Placed], corner: tuple[float, float]) -> None:
    left, top = corner
    right = left + frame.width
    _column_headings(pen, frame, left, top)
    body = top + _COLUMN_HEADINGS
    for index, item in enumerate(placed):
        y = body + item.y
        if item.row is None:
            pen.text(left, y + item.height - 7, item.heading, Style.HEAD, _HEADING_SIZE)
            pen.rule(left, y + item.height, right, y + item.height, 1.0)
            continue
        if index and placed[index - 1].row is not None and not item.row.inside:
            pen.rule(left, y, right, y, 1.0 if item.row.heavy else THIN)
        _draw_row(pen, frame, item.row, (left, y))
    end = body + placed[-1].y + placed[-1].height
    pen.rule(left, end, right, end, THIN)


def _column_headings(pen: Pen, frame: _Frame, left: float, top: float) -> None:
    x = left
    for column, width in zip(frame.columns, frame.widths, strict=True):
        place = _place(column, x, width)
        pen.text(place, top + 10, column.heading, Style.BOLD, _COLUMN_HEADING_SIZE, align=column.align)
        x += width
    pen.rule(left, top + _COLUMN_HEADINGS, left + frame.width, top + _COLUMN_HEADINGS, THICK)


def _draw_row(pen: Pen, frame: _Frame, row: Row, corner: tuple[float, float]) -> None:
    x, y = corner
    baseline = y + _pad_above(row) + _first_size(row) * 0.95
    for column, width, cell, lines in zip(
        frame.columns, frame.widths, row.cells, frame.lines(row), strict=True
    ):
        if cell.box:
            _tick_box(pen, x + _INSET, baseline - cell.size + 1, cell)
        line_y = baseline
        for index, (text, style, size) in enumerate(lines):
            line_y += size * _LEADING if index else 0
            pen.text(_place(column, x, width), line_y, text, style, size, align=column.align)
        x += width


def _tick_box(pen: Pen, x: float, y: float, cell: Cell) -> None:
    pen.box(x, y, cell.size, cell.size, 1.0)
    if cell.ticked:
        pen.rule(x, y, x + cell.size, y + cell.size, 1.2)
        pen.rule(x, y + cell.size, x + cell.size, y, 1.2)


def _place(column: Column, x: float, width: float) -> float:
    """Where a text of the column is anchored."""
    return {"left": x + _INSET, "right": x + width - _AFTER_FIGURES, "centre": x + width / 2}[column.align]
