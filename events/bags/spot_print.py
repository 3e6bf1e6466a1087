"""Paper of a spot check: everything to check it by hand in small type, and the notice that says who comes when."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.bags.spot_recipe import Step
from events.paper.fonts import Style, width
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import FOOT, MARGIN, EventHead, Page, Part, Pen, document, page_size
from events.paper.text import fitting_size, wrap

_SMALL = 8.0
_PITCH = 1.22  # line pitch as a multiple of the size
_LABEL = 92.0  # points for the names of the facts
_GUTTER = 18.0
_DIGITS = 16  # of a hash on paper: far more than two labels of a pool share
_RANK, _CODE = 20.0, 27.0  # points for rank and label in a row of the pool
_BLANK = 0.5  # width of a blank at the head of a line, as a multiple of the size

NOTICE = (
    "Drawn by lot: being drawn says nothing about anybody. Every disc of the bag is weighed and looked at. Nothing is"
    " penalised here; the desk says what not to throw. The code opens the page where anybody can check the draw."
)


@dataclass(frozen=True, slots=True)
class PoolRow:
    """A label of the pool; `place` is "drawn", "spare" or "", `rank` "" where it has none."""

    rank: str
    label: str
    name: str
    digest: str
    place: str


@dataclass(frozen=True, slots=True)
class ProofSheet:
    """A draw as it is published: facts by name, the steps to check it, a table of working if it has one, the pool."""

    title: str
    under: str
    facts: tuple[tuple[str, str], ...]
    steps: tuple[Step, ...]
    working: tuple[str, ...]
    pool: tuple[PoolRow, ...]
    caution: str


@dataclass(frozen=True, slots=True)
class Summoned:
    """A player on the notice; `spare` steps in for somebody who is gone."""

    label: str
    name: str
    division: str
    spare: bool


_Op = Callable[[Pen], None]


class _Paper:
    """Lines from the top down; what does not fit goes on on the next page."""

    def __init__(self, head: EventHead) -> None:
        self.width, height = page_size(head)
        self.bottom = height - MARGIN - FOOT
        self.pages: list[list[_Op]] = [[]]
        self.y = MARGIN

    def turn(self) -> None:
        self.pages.append([])
        self.y = MARGIN

    def put(self, op: _Op) -> None:
        self.pages[-1].append(op)

    def lines(self, text: str, style: Style, size: float, *, left: float = MARGIN) -> None:
        """A paragraph; the text's own line breaks stay, and the blanks at the head of a line."""
        for part in text.splitlines():
            inset = left + (len(part) - len(part.lstrip())) * size * _BLANK
            for line in wrap(part, style, size, self.width - MARGIN - inset) or [""]:
                self._line(line, style, size, inset)

    def _line(self, line: str, style: Style, size: float, left: float) -> None:
        if self.y + size * _PITCH > self.bottom:
            self.turn()
        y = self.y + size
        self.put(lambda pen: pen.text(left, y, line, style, size))
        self.y += size * _PITCH

    def heading(self, text: str) -> None:
        if self.y + 60 > self.bottom:
            self.turn()
        self.y += 5
        self._line(text, Style.HEAD, 13, MARGIN)
        y = self.y + 1
        self.put(lambda pen: pen.rule(MARGIN, y, pen.width - MARGIN, y))
        self.y += 4


def proof(head: EventHead, sheet: ProofSheet) -> bytes:
    """The public record of a draw. The same draw gives the same bytes: no time of printing stands on it."""
    paper = _Paper(head)
    size = fitting_size(sheet.title, Style.HEAD, (24, 20, 17), paper.width - 2 * MARGIN) or 15
    paper.lines(sheet.title, Style.HEAD, size)
    paper.lines(sheet.under, Style.BODY, 10)
    paper.y += 4
    for label, value in sheet.facts:
        _fact(paper, label, value)
    if sheet.steps:
        _steps(paper, sheet.steps)
    if sheet.working:
        paper.heading("Row by row: i, MD5, how many are left, remainder, who is taken")
        for row in sheet.working:
            paper.lines(row, Style.BODY, _SMALL)
    paper.heading("The pool, and who is drawn" if sheet.steps else "The pool")
    _pool(paper, sheet.pool)
    paper.y += 3
    paper.lines(sheet.caution, Style.BODY, _SMALL)
    return document(head, [Part("spot check", tuple(Page(_drawer(ops)) for ops in paper.pages))])


def _steps(paper: _Paper, steps: Sequence[Step]) -> None:
    paper.heading("Check it yourself")
    for number, step in enumerate(steps, start=1):
        paper.lines(f"{number}. {step.words}", Style.BODY, _SMALL)
        paper.lines(step.command, Style.BOLD, _SMALL, left=MARGIN + 12)
        if "\n" not in step.result:  # several lines are what the pool below shows
            paper.lines(f"gives {step.result}", Style.BODY, _SMALL, left=MARGIN + 12)
        paper.y += 2


def _drawer(ops: Sequence[_Op]) -> Callable[[Pen], None]:
    def draw(pen: Pen) -> None:
        for op in ops:
            op(pen)

    return draw


def _fact(paper: _Paper, label: str, value: str) -> None:
    top = paper.y
    paper.put(lambda pen: pen.text(MARGIN, top + 9, label, Style.BOLD, 9))
    paper.lines(value, Style.BODY, 9, left=MARGIN + _LABEL)


def _pool(paper: _Paper, rows: Sequence[PoolRow]) -> None:
    """The pool in columns of small type, down and then across, page after page."""
    digits = max((width(row.digest[:_DIGITS], Style.BODY, _SMALL) for row in rows), default=0.0)
    columns = 2 if digits else 3
    room = (paper.width - 2 * MARGIN - _GUTTER * (columns - 1)) / columns
    name_room = room - _RANK - _CODE - (digits + 6 if digits else 0)
    left = list(rows)
    while left:
        top, deepest = paper.y, paper.y
        for column, count in enumerate(_split(left, columns, paper.bottom - top, name_room)):
            y = top
            for row in left[:count]:
                _pool_row(paper, row, MARGIN + column * (room + _GUTTER), y, room, name_room)
                y += _row_height(row, name_room)
            left, deepest = left[count:], max(deepest, y)
        paper.y = deepest
        if left:
            paper.turn()


def _split(rows: Sequence[PoolRow], columns: int, height: float, name_room: float) -> list[int]:
    """How many rows each column takes: even if all fit the page, else as many as there is room for."""
    even = -(-len(rows) // columns)
    taken: list[int] = []
    for _ in range(columns):
        used, count = 0.0, 0
        for row in rows[sum(taken) :][:even]:
            used += _row_height(row, name_room)
            if used > height:
                break
            count += 1
        taken.append(count)
    return taken


def _row_height(row: PoolRow, name_room: float) -> float:
    return len(_names(row, name_room)) * _SMALL * _PITCH + 1


def _names(row: PoolRow, name_room: float) -> list[str]:
    words = f"{row.name}, {row.place}" if row.place else row.name
    return wrap(words, _style(row), _SMALL, name_room) or [""]


def _style(row: PoolRow) -> Style:
    return Style.BOLD if row.place else Style.BODY


def _pool_row(paper: _Paper, row: PoolRow, x: float, y: float, room: float, name_room: float) -> None:
    style, base = _style(row), y + _SMALL
    names = _names(row, name_room)

    def draw(pen: Pen) -> None:
        pen.text(x + _RANK - 4, base, row.rank, style, _SMALL, align="right")
        pen.text(x + _RANK, base, row.label, style, _SMALL)
        for index, line in enumerate(names):
            pen.text(x + _RANK + _CODE, base + index * _SMALL * _PITCH, line, style, _SMALL)
        pen.text(x + room, base, row.digest[:_DIGITS], Style.BODY, _SMALL, align="right")

    paper.put(draw)


def notice(
    head: EventHead, title: str, under: str, players: Sequence[Summoned], *, qr: str, printed: str = ""
) -> bytes:
    """Who is drawn, where to come and when: to hang up and to hand to the marshals."""
    columns = (
        Column("label", 10),
        Column("name", 46),
        Column("division", 14),
        Column("seen at the desk", 20),
    )
    rows = tuple(
        Row(
            (
                Cell(each.label, size=12),
                Cell(each.name, Style.BOLD, 14, below="spare, steps in" if each.spare else ""),
                Cell(each.division, size=12),
                Cell(box=True, size=14),
            )
        )
        for each in players
    )
    listing = Listing(title, under, columns, (Block(rows),) if rows else (), note=NOTICE, qr=qr)
    return document(head, [Part("spot check", listing_pages(head, listing))], printed=printed)
