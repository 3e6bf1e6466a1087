"""Tee signs: one page for a hole, read standing; more pages only where the smallest good letters do not fit one."""

from collections.abc import Sequence

from events.course.hole_queries import HoleSheet
from events.course.hole_words import kinds
from events.course.sketch_print import draw_sketch, sketch_height
from events.paper.flow import Leaf, Piece, Sheet, leaves, page_room, pages_of, pair, prose, rule
from events.paper.fonts import Style, width
from events.paper.page import EventHead, Part, Pen, document
from events.paper.text import fitting_size, wrap
from events.safety.paper_parts import (
    CourseFacts,
    again_pieces,
    caution_pieces,
    hazard_pieces,
    heading_pieces,
    horn_pieces,
    length_text,
)
from events.safety.restart import RestartRule
from events.setup.models import Event

# The sketch's share of the width and the size of the letters, the best first; the last may flow to a second page.
LOOKS = ((1.0, 15.0), (0.9, 13.0), (0.8, 12.0), (0.66, 11.0), (0.8, 12.0))
LABEL_SIZES = (110.0, 90.0, 70.0, 50.0)


def tee_signs(
    head: EventHead, event: Event, courses: Sequence[CourseFacts], horn: RestartRule, *, printed: str
) -> bytes:
    """A sign for each hole of each layout, as PDF; the pages of a hole are counted by themselves."""
    parts = [
        Part(f"{course.name}, hole {hole.label}", pages_of(head, sign(head, event, course, hole, horn)))
        for course in courses
        for hole in course.holes
    ]
    return document(head, parts, printed=printed, version="")


def sign(head: EventHead, event: Event, course: CourseFacts, hole: HoleSheet, horn: RestartRule) -> Sheet:
    """The sign in the largest look that fits one page."""
    room, height = page_room(head)
    tried = [_sign(head, event, course, hole, horn, look, room) for look in LOOKS]
    return next((sheet for sheet in tried if len(leaves(sheet, height)) == 1), tried[-1])


def _sign(
    head: EventHead,
    event: Event,
    course: CourseFacts,
    hole: HoleSheet,
    horn: RestartRule,
    look: tuple[float, float],
    room: float,
) -> Sheet:
    share, size = look
    dangers = course.hazards.by_hole.get(hole.id, ())
    told = [
        piece
        for sentence in course.told(hole, head.units)
        for piece in pair(sentence.heading, sentence.text, room, size, above=3)
    ]
    body = (
        _top(head, course, hole, room),
        rule(room, 2.0),
        *hazard_pieces(event, dangers, room, size),
        *sketch_pieces(hole, room, share),
        *told,
        *horn_pieces(horn, room, min(size, 12.0)),
    )
    return Sheet(body, again_pieces(f"Hole {hole.label}, {course.name}", room), caution_pieces(room))


def sketch_pieces(hole: HoleSheet, room: float, share: float) -> tuple[Piece, ...]:
    """The sketch in the middle, or a line that there is none."""
    if not hole.items:
        return prose("No sketch of this hole.", room, Style.BODY, 10, above=4)
    wide = room * share
    left = (room - wide) / 2
    return (
        Piece(
            sketch_height(wide) + 4,
            lambda pen, x, y: _sketched(pen, hole, x + left, y + 2, wide),
            above=6,
        ),
    )


def _sketched(pen: Pen, hole: HoleSheet, x: float, y: float, wide: float) -> None:
    draw_sketch(pen, hole.items, x, y, wide)


def _top(head: EventHead, course: CourseFacts, hole: HoleSheet, room: float) -> Piece:
    """The label as large as it goes; par and length beside it; layout, tee and target in small letters."""
    size = fitting_size(hole.label, Style.HEAD, LABEL_SIZES, room * 0.45) or LABEL_SIZES[-1]
    left = max(width(hole.label, Style.HEAD, size) + 24, room * 0.3)
    figures = f"par {hole.par} · {length_text(hole.length_m, head.units)}"
    small = [f"{course.name} · {hole.tee_name} to {hole.target_name}", kinds(hole.details)]
    lines = [line for text in small for line in wrap(text, Style.BODY, 11, room - left)]

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.text(x, y + size * 0.78, hole.label, Style.HEAD, size)
        pen.text(x + left, y + 40, figures, Style.HEAD, 44)
        for number, line in enumerate(lines):
            pen.text(x + left, y + 60 + number * 13.5, line, size=11)

    return Piece(max(size * 0.86, 62 + len(lines) * 13.5), draw, joins_next=True)


# --- The booklet's half pages ------------------------------------------------------------------------------------


def hole_leaves(
    event: Event,
    course: CourseFacts,
    hole: HoleSheet,
    frame: tuple[float, float],
    units: str,
    foot: tuple[Piece, ...],
) -> tuple[Leaf, ...]:
    """A hole on a half page, and on another where it does not fit; letters of 9 points or more."""
    room, height = frame
    tried = [
        leaves(
            Sheet(_half(event, course, hole, room, units, look), _half_again(course, hole, room), foot),
            height,
        )
        for look in ((1.0, 10.5), (0.9, 9.5), (0.75, 9.0), (1.0, 9.5))
    ]
    return next((found for found in tried if len(found) == 1), tried[-1])


def _half_again(course: CourseFacts, hole: HoleSheet, room: float) -> tuple[Piece, ...]:
    return again_pieces(f"{hole.label} {course.name}", room)


def _half(
    event: Event, course: CourseFacts, hole: HoleSheet, room: float, units: str, look: tuple[float, float]
) -> tuple[Piece, ...]:
    share, size = look
    figures = f"{hole.label} · par {hole.par} · {length_text(hole.length_m, units)}"
    under = " · ".join(filter(None, (course.name, kinds(hole.details))))
    told = [
        piece
        for sentence in course.told(hole, units)
        for piece in pair(sentence.heading, sentence.text, room, size, share=0.27, above=2)
    ]
    return (
        *heading_pieces(figures, room, 24),
        *prose(under, room, Style.BODY, 9, joins_next=True),
        *hazard_pieces(event, course.hazards.by_hole.get(hole.id, ()), room, size),
        *sketch_pieces(hole, room, share),
        *told,
    )
