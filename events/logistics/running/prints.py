"""The run of a day on paper: the drawing, and the list with everything in full."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from reportlab.pdfgen.canvas import Canvas

from events.logistics.running.drawing import HEAD, Band, Drawing, Lane, Mark
from events.logistics.running.laying import Line
from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import MARGIN, THICK, EventHead, Page, Part, Pen, document, page_size

_TITLE, _SUB, _TOP = 24.0, 10.0, 80.0  # sizes, and where the drawing begins, in points
_EM = 10.6  # points; the letters of a label are 0.85 of it
_GREYS = {"night": 0.84, "twilight": 0.93}


@dataclass(frozen=True, slots=True)
class DayPaper:
    """`title` names the day, `sub` what it rests on; `warnings` are sentences."""

    title: str
    sub: str
    lines: Sequence[Line]
    drawing: Drawing | None
    warnings: Sequence[str]


def day_sheet(
    head: EventHead, paper: DayPaper, local: Callable[[datetime], datetime], *, printed: str
) -> bytes:
    """The list, and after it the drawing on pages of its own."""
    pages = [*listing_pages(head, _listing(head, paper, local))]
    if paper.drawing is not None:
        pages += _drawn_pages(head, paper, paper.drawing)
    return document(head, [Part(paper.title, tuple(pages))], printed=printed)


def _listing(head: EventHead, paper: DayPaper, local: Callable[[datetime], datetime]) -> Listing:
    columns = (Column("time", 17), Column("what", 38), Column("who and where", 45))
    notes = [paper.sub, *paper.warnings]
    return Listing(
        paper.title,
        " · ".join(part for part in (head.name, head.place) if part),
        columns,
        (Block(tuple(_row(line, local) for line in paper.lines)),),
        note=" ".join(note for note in notes if note),
    )


def _row(line: Line, local: Callable[[datetime], datetime]) -> Row:
    style = Style.BODY if line.lane in ("sun", "people") else Style.BOLD
    return Row(
        (
            Cell(hours_of(line, local), Style.BOLD, 11, below=was_hours(line, local)),
            Cell(line.label, style, 10.5, below=line.assumed),
            Cell(" · ".join(part for part in (line.owner, line.place) if part), size=9.5),
        )
    )


def hours_of(line: Line, local: Callable[[datetime], datetime]) -> str:
    first = f"{local(line.starts):%H:%M}"
    return first if line.ends is None else f"{first}–{local(line.ends):%H:%M}"


def was_hours(line: Line, local: Callable[[datetime], datetime]) -> str:
    """What the hours were before a delay, empty where they are the same."""
    if not line.moved:
        return ""
    first = f"was {local(line.was or line.starts):%H:%M}"
    last = line.was_ends or line.ends
    return first if last is None else f"{first}–{local(last):%H:%M}"


def _drawn_pages(head: EventHead, paper: DayPaper, drawing: Drawing) -> list[Page]:
    """The lanes over as many pages as they need with letters that a copy keeps."""
    _, height = page_size(head, landscape=True)
    room = height - _TOP - 2 * MARGIN
    pages: list[list[Lane]] = []
    for lane in drawing.lanes:
        begins = pages[-1][0].y if pages else 0.0
        if not pages or (lane.ends - begins + HEAD) * _EM > room:
            pages.append([])
        pages[-1].append(lane)
    return [Page(_drawn(paper, drawing, lanes, room), landscape=True) for lanes in pages]


def _drawn(paper: DayPaper, drawing: Drawing, lanes: Sequence[Lane], space: float) -> Callable[[Pen], None]:
    first, tall = lanes[0].y - HEAD, lanes[-1].ends - lanes[0].y + HEAD
    em = min(_EM, space / tall)  # smaller only where one lane alone is taller than a page

    def drawn(pen: Pen) -> None:
        pen.text(MARGIN, MARGIN + _TITLE * 0.85, paper.title, Style.HEAD, _TITLE)
        pen.text(MARGIN, MARGIN + _TITLE * 1.2 + _SUB, paper.sub, size=_SUB)
        room = pen.width - 2 * MARGIN

        def x(percent: float) -> float:
            return MARGIN + room * percent / 100

        def y(ems: float) -> float:
            return _TOP + (ems - first) * em

        top, bottom = _TOP + 1.2 * em, _TOP + tall * em
        for band in drawing.bands:
            _band(pen, band, (x(band.x), top), (room * band.width / 100, bottom - top))
        for hour in drawing.hours:
            pen.text(x(hour.x), _TOP + em, hour.label, size=em * 0.9, align="centre")
            pen.figure(_hairline(x(hour.x), pen.height - top, pen.height - bottom))
        pen.rule(MARGIN, top, MARGIN + room, top, THICK)
        for lane in lanes:
            pen.rule(MARGIN, y(lane.y), MARGIN + room, y(lane.y))
            pen.text(MARGIN + 2, y(lane.y + 1.1), lane.name, Style.BOLD, em * 0.85)
            for mark in lane.marks:
                _mark(pen, mark, x, y, em)

    return drawn


def _band(pen: Pen, band: Band, corner: tuple[float, float], size: tuple[float, float]) -> None:
    def fill(canvas: Canvas) -> None:
        canvas.setFillGray(_GREYS[band.kind])
        canvas.rect(corner[0], pen.height - corner[1] - size[1], *size, stroke=0, fill=1)

    pen.figure(fill)


def _hairline(x: float, top: float, bottom: float) -> Callable[[Canvas], None]:
    def line(canvas: Canvas) -> None:
        canvas.setStrokeGray(0.6)
        canvas.setLineWidth(0.4)
        canvas.line(x, top, x, bottom)

    return line


def _mark(pen: Pen, mark: Mark, x: Callable[[float], float], y: Callable[[float], float], em: float) -> None:
    """A span under its label, or a moment as a stroke beside it; what it was as a dashed frame."""
    base, right = y(mark.y + 1.15), x(mark.x + mark.width)
    if mark.was_x is not None:
        pen.figure(_dashed(x(mark.was_x), x(mark.was_x + mark.was_width), pen.height - base, 0.45 * em))
    if mark.width:
        filled = mark.kind not in ("past", "needs")
        pen.figure(_bar(x(mark.x), right, pen.height - base, 0.4 * em, filled=filled))
    else:
        pen.rule(x(mark.x), y(mark.y), x(mark.x), base + 0.4 * em, 2.0)
    gap = 0 if mark.width else 0.3 * em
    place = x(mark.label_x) + (-gap if mark.end else gap)
    bold = Style.BOLD if mark.kind == "needs" else Style.BODY
    pen.text(place, y(mark.y + 0.95), mark.label, bold, em * 0.85, align="right" if mark.end else "left")


def _bar(left: float, right: float, top: float, tall: float, *, filled: bool) -> Callable[[Canvas], None]:
    def bar(canvas: Canvas) -> None:
        canvas.setLineWidth(0.9)
        canvas.setFillGray(0.25)
        canvas.rect(left, top - tall, right - left, tall, stroke=1, fill=int(filled))

    return bar


def _dashed(left: float, right: float, top: float, tall: float) -> Callable[[Canvas], None]:
    def frame(canvas: Canvas) -> None:
        canvas.setLineWidth(0.9)
        canvas.setDash(3, 2)
        if right > left:
            canvas.rect(left, top - tall, right - left, tall, stroke=1, fill=0)
        else:
            canvas.line(left, top + tall, left, top - tall)

    return frame
