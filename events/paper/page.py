"""Pages: the event's head, a pen with the origin at the top left, documents of parts with running footers."""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas

from events.paper.fonts import Style, clean, load, runs, width
from events.paper.qr import dark_spans
from events.paper.text import wrap

MARGIN = 30.0  # points; more than the edge that office printers leave white
FOOT = 14.0  # room for the running footer above the bottom margin
THIN = 0.9  # the thinnest rule that a third photocopy keeps
THICK = 1.5
TINT = 0.9  # grey behind boxes: shows on the copy and leaves pencil legible
_EMBOLDEN = 0.03  # share of the size by which a stand-in bold is stroked

Align = Literal["left", "right", "centre"]


@dataclass(frozen=True)
class EventHead:
    """What every sheet says about its event; all texts as they are to be printed."""

    name: str
    place: str
    dates_text: str
    currency: str
    units: Literal["m", "ft"] = "m"
    paper: Literal["A4", "Letter"] = "A4"


class Pen:
    """Draws on one page; x and y in points from the top left corner, y of a text is its baseline."""

    def __init__(self, canvas: Canvas, page_width: float, page_height: float) -> None:
        self._canvas = canvas
        self.width = page_width
        self.height = page_height

    def text(
        self,
        x: float,
        y: float,
        text: str,
        style: Style = Style.BODY,
        size: float = 10,
        *,
        align: Align = "left",
    ) -> None:
        """One line of text; a text of several scripts is drawn by several faces."""
        if align != "left":
            spare = width(text, style, size)
            x -= spare if align == "right" else spare / 2
        line = self._canvas.beginText(x, self.height - y)
        for run in runs(text, style):
            load(run.face)
            line.setFont(run.face.name, size)
            if run.face.embolden:
                self._canvas.setLineWidth(size * _EMBOLDEN)
            line.setTextRenderMode(2 if run.face.embolden else 0)
            line.textOut(run.text)
        line.setTextRenderMode(0)
        self._canvas.drawText(line)

    def rule(self, x1: float, y1: float, x2: float, y2: float, weight: float = THIN) -> None:
        """A black line, never thinner than a photocopier keeps."""
        self._canvas.setLineWidth(max(weight, THIN))
        self._canvas.line(x1, self.height - y1, x2, self.height - y2)

    def box(self, x: float, y: float, w: float, h: float, weight: float = THIN) -> None:
        """An empty frame whose top left corner is at x, y."""
        self._canvas.setLineWidth(max(weight, THIN))
        self._canvas.rect(x, self.height - y - h, w, h)

    def tint(self, x: float, y: float, w: float, h: float) -> None:
        """A light grey ground."""
        self._canvas.setFillGray(TINT)
        self._canvas.rect(x, self.height - y - h, w, h, stroke=0, fill=1)
        self._canvas.setFillGray(0)

    def qr(self, x: float, y: float, size: float, content: str) -> None:
        """A QR code of `size` points a side; the caller leaves four modules of white around it."""
        modules, spans = dark_spans(content)
        module = size / modules
        path = self._canvas.beginPath()
        for row, column, length in spans:
            path.rect(x + column * module, self.height - y - (row + 1) * module, length * module, module)
        self._canvas.drawPath(path, stroke=0, fill=1)

    def figure(self, draw: Callable[[Canvas], None]) -> None:
        """A drawing made on the canvas itself (origin bottom left); line, dash and greys are as before afterwards."""
        self._canvas.saveState()
        draw(self._canvas)
        self._canvas.restoreState()


@dataclass(frozen=True)
class Page:
    """One page as it is to be drawn; without `footer` where it has lines of its own there."""

    draw: Callable[[Pen], None]
    landscape: bool = False
    footer: bool = True


@dataclass(frozen=True)
class Part:
    """Pages that are counted together ("page 2 of 3"); `name` stands in their footer."""

    name: str
    pages: tuple[Page, ...]


def page_size(head: EventHead, *, landscape: bool = False) -> tuple[float, float]:
    """Width and height in points of the event's paper."""
    w, h = A4 if head.paper == "A4" else LETTER
    return (float(h), float(w)) if landscape else (float(w), float(h))


def document(head: EventHead, parts: Sequence[Part], *, printed: str = "", version: str = "") -> bytes:
    """The parts as one PDF; the same input gives the same bytes.

    `printed` is the time of printing and `version` the version of the sheet; both texts stand in the footer.
    """
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=page_size(head), invariant=1, pageCompression=1, lang="en")
    canvas.setTitle(clean(" · ".join((head.name, *(dict.fromkeys(part.name for part in parts))))))
    for part in parts:
        for position, page in enumerate(part.pages, start=1):
            size = page_size(head, landscape=page.landscape)
            canvas.setPageSize(size)
            pen = Pen(canvas, *size)
            page.draw(pen)
            if page.footer:
                place = f"page {position} of {len(part.pages)}"
                _footer(pen, (part.name, version, head.name), (printed, place))
            canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _footer(pen: Pen, left: Sequence[str], right: Sequence[str]) -> None:
    baseline = pen.height - MARGIN + 2
    end = " · ".join(filter(None, right))
    room = pen.width - 2 * MARGIN - width(end, Style.BODY, 8) - 20
    start = wrap(" · ".join(filter(None, left)), Style.BODY, 8, room)
    pen.text(
        MARGIN, baseline, start[0], size=8
    )  # a very long name is cut here: the sheet's head has it in full
    pen.text(pen.width - MARGIN, baseline, end, size=8, align="right")
