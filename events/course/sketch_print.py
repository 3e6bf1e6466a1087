"""A hole's sketch on paper: black and grey that a photocopier keeps, each kind told apart by its line, not its colour.

Pure: draws with the pen of the paper kit.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from events.course.sketch import HEIGHT, WIDTH, Drawing, Item, Shape, Words, drawing
from events.paper.fonts import Style, width
from events.paper.page import Pen

SMALLEST_LETTERS = 9.0


@dataclass(frozen=True, slots=True)
class Look:
    """Weight in points at full size, dashes in points, grey of line and fill (0 black, None no fill)."""

    weight: float = 1.0
    dash: tuple[float, ...] = ()
    line: float = 0.0
    fill: float | None = None


LOOKS: Mapping[tuple[str, str], Look] = {
    ("water", ""): Look(1.2, line=0.35, fill=0.85),
    ("hazard", ""): Look(1.2, (2, 2)),
    ("road", "casing"): Look(7.0, line=0.35),
    ("road", ""): Look(5.0, line=0.93),
    ("path", ""): Look(1.2, (6, 3), line=0.3),
    ("trees", ""): Look(0.9, line=0.35, fill=0.8),
    ("out_of_bounds", ""): Look(2.6, (9, 4)),
    ("flight", ""): Look(1.0, (1, 4)),
    ("mandatory", ""): Look(2.0, fill=0.0),
    ("mandatory", "arrow"): Look(1.0, fill=0.0),
    ("drop_zone", ""): Look(1.2, fill=1.0),
    ("tee", ""): Look(1.2, fill=0.0),
    ("target", ""): Look(2.4, fill=1.0),
}


def sketch_height(room: float) -> float:
    """How tall a sketch is that is `room` points wide."""
    return room * HEIGHT / WIDTH


def draw_sketch(pen: Pen, items: Sequence[Item], x: float, y: float, room: float) -> float:
    """Draw the sketch framed, its top left corner at x, y and `room` points wide; returns its height in points.

    Letters stay at 9 points or more however small the sketch. An empty sketch draws nothing and is 0 high.
    """
    if not items:
        return 0.0
    found = drawing(items)
    scale = room / WIDTH
    pen.figure(lambda canvas: _shapes(canvas, pen.height, found, (x, y), scale))
    pen.box(x, y, room, sketch_height(room))
    for words in found.words:
        _write(pen, words, (x, y), scale, room)
    return sketch_height(room)


def _shapes(
    canvas: Canvas, page_height: float, found: Drawing, corner: tuple[float, float], scale: float
) -> None:
    def at(x: float, y: float) -> tuple[float, float]:
        return corner[0] + x * scale, page_height - corner[1] - y * scale

    canvas.setLineJoin(1)
    canvas.setLineCap(0)
    for shape in found.shapes:
        _shape(canvas, shape, at, scale)


def _shape(
    canvas: Canvas, shape: Shape, at: Callable[[float, float], tuple[float, float]], scale: float
) -> None:
    look = LOOKS[shape.tool, shape.part]
    size = max(scale, 0.25)
    canvas.setLineWidth(max(look.weight * min(size * 2, 1.0), 0.9))
    canvas.setDash(list(look.dash))
    canvas.setStrokeGray(look.line)
    canvas.setFillGray(look.fill if look.fill is not None else 1)
    fill = 0 if look.fill is None or shape.element == "polyline" else 1
    if shape.element in {"polyline", "polygon"}:
        points = [at(*map(int, word.split(","))) for word in shape.points.split()]
        _through(canvas, points, closed=shape.element == "polygon", fill=fill)
        if shape.tool == "hazard":
            _hatch(canvas, points)
    elif shape.element == "dot":
        canvas.circle(*at(shape.x, shape.y), (12 if shape.tool != "target" else 14) * scale, fill=fill)
    elif shape.element == "square":
        left, bottom = at(shape.x - 13, shape.y + 13)
        canvas.rect(left, bottom, 26 * scale, 26 * scale, fill=fill)
    else:
        corners = ((0, -16), (15, 12), (-15, 12))
        _through(canvas, [at(shape.x + dx, shape.y + dy) for dx, dy in corners], closed=True, fill=fill)


def _through(canvas: Canvas, points: Sequence[tuple[float, float]], *, closed: bool, fill: int) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    if closed:
        path.close()
    canvas.drawPath(path, stroke=1, fill=fill)


def _hatch(canvas: Canvas, points: Sequence[tuple[float, float]], step: float = 6.0) -> None:
    """Slanted lines inside the area, so that a hazard is known without colour."""
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    canvas.saveState()
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.setLineWidth(0.6)
    canvas.setDash([])
    start = left - (high - low)
    while start < right:
        canvas.line(start, low, start + (high - low), high)
        start += step
    canvas.restoreState()


def _write(pen: Pen, words: Words, corner: tuple[float, float], scale: float, room: float) -> None:
    """Letters inside the frame, on a white ground so that no line runs through them."""
    size = max(24 * scale, SMALLEST_LETTERS)
    length = width(words.text, Style.BOLD, size)
    x = corner[0] + words.x * scale - (length if words.anchor == "end" else 0)
    x = min(max(x, corner[0] + 2), corner[0] + room - length - 2)
    y = min(max(corner[1] + words.y * scale, corner[1] + size), corner[1] + sketch_height(room) - 3)
    pen.figure(lambda canvas: _ground(canvas, x - 1, pen.height - y - size * 0.2, length + 2, size))
    pen.text(x, y, words.text, Style.BOLD, size)


def _ground(canvas: Canvas, x: float, y: float, w: float, h: float) -> None:
    canvas.setFillGray(1)
    canvas.rect(x, y, w, h, stroke=0, fill=1)
