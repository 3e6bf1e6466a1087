"""A booklet: halves of the event's paper in the order in which folded sheets are read. Pure but for the pen.

Printed on both sides, turned over the short edge, folded in the middle and stapled.
"""

from collections.abc import Callable, Sequence

from reportlab.pdfgen.canvas import Canvas

from events.paper.flow import Leaf
from events.paper.page import EventHead, Page, Pen, page_size

INNER, OUTER = 26.0, 26.0  # margins at the fold and at the edges, points; wide enough for a staple
BOTTOM = 18.0  # room for the page's number
NUMBER_SIZE = 9.0

Side = tuple[int | None, int | None]  # page numbers left and right, None: blank


def imposed(pages: int) -> tuple[Side, ...]:
    """The sides to print, front and back of each sheet in turn, for `pages` pages from 1.

    Four pages go on a sheet, so blank ones fill the end: of 6 pages the first side is (blank, 1), since the
    eighth is blank, and its back (2, blank).
    """
    if pages < 1:
        return ()
    whole = -(-pages // 4) * 4

    def there(number: int) -> int | None:
        return number if number <= pages else None

    sides: list[Side] = []
    for sheet in range(whole // 4):
        first, last = 2 * sheet + 1, whole - 2 * sheet
        sides += [(there(last), there(first)), (there(first + 1), there(last - 1))]
    return tuple(sides)


def half_room(head: EventHead) -> tuple[float, float]:
    """Width and height in points for the text of a half: A5 of A4, half-Letter of Letter."""
    w, h = page_size(head, landscape=True)
    return w / 2 - INNER - OUTER, h - 2 * OUTER - BOTTOM


def booklet_pages(head: EventHead, leaves: Sequence[Leaf]) -> tuple[Page, ...]:
    """The leaves (made for `half_room`) two on a side, imposed, each with its own number at its foot."""
    half = page_size(head, landscape=True)[0] / 2
    return tuple(
        Page(_side(leaves, side, half), landscape=True, footer=False) for side in imposed(len(leaves))
    )


def _side(leaves: Sequence[Leaf], side: Side, half: float) -> Callable[[Pen], None]:
    def draw(pen: Pen) -> None:
        for number, left in zip(side, (0.0, half), strict=True):
            if number is not None:
                pen.figure(_half(leaves[number - 1], number, left, (half, pen.height)))

    return draw


def _half(leaf: Leaf, number: int, left: float, size: tuple[float, float]) -> Callable[[Canvas], None]:
    margin = OUTER if left == 0 else INNER

    def draw(canvas: Canvas) -> None:
        canvas.translate(left, 0)
        pen = Pen(canvas, *size)
        leaf.draw(pen, margin, OUTER)
        pen.text(size[0] / 2, size[1] - OUTER + 2, str(number), size=NUMBER_SIZE, align="centre")

    return draw
