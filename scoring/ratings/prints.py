"""Ratings on paper: the drawing of a round, its working, every player; and the holes of a layout. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from events.paper.flow import Draw, Piece, Sheet, page_room, pages_of, prose, row
from events.paper.fonts import Style
from events.paper.page import THIN, EventHead, Part, Pen, document
from scoring.ratings.course_picture import Picture
from scoring.ratings.scatter import Scatter

SIZE = 9.0
_GREY = 0.82
_BAND = 0.9


@dataclass(frozen=True)
class Table:
    """Columns as (heading, share of the width), and rows of texts, one for each column."""

    heading: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Paper:
    """Title, a line under it, sentences, drawings and tables, in this order."""

    title: str
    under: str
    sentences: tuple[str, ...]
    drawings: tuple[tuple[str, Scatter | Picture], ...]
    tables: tuple[Table, ...]


def paper(head: EventHead, sheet: Paper, *, printed: str, landscape: bool = False) -> bytes:
    """The sheet as PDF; the same input gives the same bytes."""
    room, _ = page_room(head, landscape=landscape)
    body: list[Piece] = [
        *prose(sheet.title, room, Style.HEAD, 20, joins_next=True),
        *prose(sheet.under, room, Style.BODY, 10, joins_next=True),
    ]
    for caption, drawing in sheet.drawings:
        body.append(_drawing(drawing, room))
        body += prose(caption, room, Style.BODY, SIZE)
    for at, sentence in enumerate(sheet.sentences):
        body += prose(sentence, room, Style.BODY, SIZE, above=0.0 if at else 6.0)
    for table in sheet.tables:
        body += _table(table, room)
    again = prose(f"{sheet.title}, continued", room, Style.BOLD, 10)
    pages = pages_of(head, Sheet(tuple(body), again), landscape=landscape)
    return document(head, [Part(sheet.title, pages)], printed=printed)


def _table(table: Table, room: float) -> list[Piece]:
    widths = [share * room / sum(share for _, share in table.columns) for _, share in table.columns]
    heads = [(heading, Style.BOLD, width) for (heading, _), width in zip(table.columns, widths, strict=True)]
    pieces = list(prose(table.heading, room, Style.HEAD, 13, above=10.0, joins_next=True))
    head = row(heads, SIZE)
    pieces.append(Piece(head.height, head.draw, 2.0, joins_next=True))
    for texts in table.rows:
        cells = [(text, Style.BODY, width) for text, width in zip(texts, widths, strict=True)]
        pieces.append(row(cells, SIZE))
    return pieces


def _drawing(drawing: Scatter | Picture, room: float) -> Piece:
    scale = room / drawing.width
    draw = _scatter(drawing, scale) if isinstance(drawing, Scatter) else _picture(drawing, scale)
    return Piece(drawing.height * scale, draw, 6.0, joins_next=True)


def _scatter(drawing: Scatter, scale: float) -> Draw:
    def drawn(pen: Pen, left: float, top: float) -> None:
        at = _placed(left, top, scale)
        if drawing.band:
            pen.figure(_filled([_up(pen, at(*point)) for point in drawing.band], _BAND))
        for tick in drawing.scores:
            x, y = at(drawing.left, tick.at)
            _thin(pen, (x, y), at(drawing.right, tick.at))
            pen.text(x - 4, y + 3, tick.label, size=8, align="right")
        for tick in drawing.ratings:
            x, y = at(tick.at, drawing.bottom)
            _thin(pen, at(tick.at, drawing.top), (x, y))
            pen.text(x, y + 11, tick.label, size=8, align="centre")
        if drawing.line is not None:
            line = drawing.line
            pen.rule(*at(line.x1, line.y1), *at(line.x2, line.y2), 1.4)
        for dot in drawing.dots:
            pen.figure(_dot(_up(pen, at(dot.x, dot.y)), filled=dot.counts))
        for name in drawing.names:
            pen.text(*at(name.x, name.y), name.text, size=8, align="right" if name.end else "left")
        if drawing.scratch is not None:
            x, y = at(drawing.scratch.x, drawing.scratch.y)
            pen.rule(x - 5, y, x + 5, y, 1.6)
            pen.rule(x, y - 5, x, y + 5, 1.6)
            pen.text(x + 6, y - 5, drawing.scratch.title, Style.BOLD, 9)

    return drawn


def _picture(drawing: Picture, scale: float) -> Draw:
    def drawn(pen: Pen, left: float, top: float) -> None:
        at = _placed(left, top, scale)
        for line in drawing.grid:
            x, y = at(drawing.left, line.at)
            end = at(drawing.right, line.at)
            if line.heavy:
                pen.rule(x, y, *end)
            else:
                _thin(pen, (x, y), end)
            pen.text(x - 4, y + 3, line.label, size=8, align="right")
        for hole in drawing.holes:
            pen.text(*at(hole.at, drawing.bottom + 16), hole.label, size=8, align="centre")
        for bar in drawing.bars:
            x, y = at(bar.x, bar.y)
            width, height = bar.width * scale, max(bar.height * scale, 0.5)
            if bar.kind == "sure":
                pen.figure(_filled(_corners(pen, x, y, width, height), 0.25))
            else:
                pen.box(x, y, width, height)
        for mark in drawing.marks:
            pen.figure(_mark(mark.shape, _up(pen, at(mark.x, mark.y))))
        for text, mark in drawing.legend:
            x, y = at(mark.x, mark.y)
            pen.figure(_mark(mark.shape, _up(pen, (x, y))))
            pen.text(x + (12 if mark.shape == "dash" else 7), y + 3, text, size=8)

    return drawn


_Point = tuple[float, float]


def _placed(left: float, top: float, scale: float) -> Callable[[float, float], _Point]:
    return lambda x, y: (left + x * scale, top + y * scale)


def _up(pen: Pen, point: _Point) -> _Point:
    """The same point as the canvas counts: from the bottom."""
    return point[0], pen.height - point[1]


def _thin(pen: Pen, start: _Point, end: _Point) -> None:
    """A line of the grid: grey, so that the dots stay the loudest."""

    def drawn(canvas: Canvas) -> None:
        canvas.setStrokeGray(_GREY)
        canvas.setLineWidth(THIN / 2)
        canvas.line(*_up(pen, start), *_up(pen, end))

    pen.figure(drawn)


def _filled(points: Sequence[_Point], grey: float) -> Callable[[Canvas], None]:
    def drawn(canvas: Canvas) -> None:
        path = canvas.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        path.close()
        canvas.setFillGray(grey)
        canvas.drawPath(path, stroke=0, fill=1)

    return drawn


def _corners(pen: Pen, x: float, y: float, width: float, height: float) -> list[_Point]:
    return [_up(pen, point) for point in ((x, y), (x + width, y), (x + width, y + height), (x, y + height))]


def _dot(point: _Point, *, filled: bool) -> Callable[[Canvas], None]:
    def drawn(canvas: Canvas) -> None:
        canvas.setLineWidth(THIN)
        canvas.setFillGray(0.25 if filled else 1)
        canvas.circle(*point, 2.6, stroke=1, fill=1)

    return drawn


def _mark(shape: str, point: _Point) -> Callable[[Canvas], None]:
    x, y = point

    def drawn(canvas: Canvas) -> None:
        canvas.setLineWidth(THIN)
        canvas.setFillGray({"square": 0.15, "triangle": 0.5}.get(shape, 1))
        path = canvas.beginPath()
        if shape == "dash":
            canvas.setLineWidth(1.6)
            path.moveTo(x - 9, y)
            path.lineTo(x + 9, y)
        elif shape == "circle":
            path.circle(x, y, 2.8)
        elif shape == "cross":
            path.moveTo(x - 2.5, y - 2.5)
            path.lineTo(x + 2.5, y + 2.5)
            path.moveTo(x - 2.5, y + 2.5)
            path.lineTo(x + 2.5, y - 2.5)
        else:
            offsets = {
                "square": ((-2.6, -2.6), (2.6, -2.6), (2.6, 2.6), (-2.6, 2.6)),
                "triangle": ((0, 3.2), (3, -2.4), (-3, -2.4)),
                "diamond": ((0, 3.4), (3.4, 0), (0, -3.4), (-3.4, 0)),
            }[shape]
            path.moveTo(x + offsets[0][0], y + offsets[0][1])
            for dx, dy in offsets[1:]:
                path.lineTo(x + dx, y + dy)
            path.close()
        canvas.drawPath(path, stroke=1, fill=0 if shape in ("cross", "dash") else 1)

    return drawn
