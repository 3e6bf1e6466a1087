"""The score card drawn: what is on it is asked for by Official Rules 2025, 808.C and D.

Date, layout, the horn's signals and the signature lines are common practice, no source; a signature is
evidence that the cards were compared, never a ground for a penalty. The horn's signals: Competition Manual
2025, 1.05.B (start) and 1.07.A, E (stop and resume).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.draw.card_data import CardPlayer, CardSheet, total_length, total_par
from events.draw.card_layout import (
    ADDED_WIDTH,
    BAND_GAP,
    HEAD_ROWS,
    LABEL_WIDTH,
    NAME_LEAD,
    TOTAL_WIDTH,
    Band,
    CardLayout,
    plan,
    player_lines,
)
from events.paper.fonts import Style, width
from events.paper.page import FOOT, MARGIN, THICK, EventHead, Page, Pen, page_size
from events.paper.text import fitting_size, number, wrap
from events.setup.figures import length_number, length_text

HEADER = 76.0  # title, sub-lines and QR code
QR_SIZE = 60.0
COPY_WIDTH = 150.0
TITLE_GAP = 0.6  # between the pieces of the title, as a multiple of its size
CROWDED = 24.0  # points; narrower hole columns have their labels and lengths in the condensed face
SIGN_LINE = 24.0  # room to write above a signature's rule
SIGN_GAP = 14.0
PENALTY_SHARE = 0.36  # of a player's height
_LEGEND_LEAD = 11.0

SCORE_RULE = (
    "Large box: throws plus penalty throws, a figure on every hole. Small box: the penalty throws alone. "
    "add.: penalty throws of no hole. Add up your total (808.C, D)."
)
RETURN_RULE = (
    "Compare the group's cards, then hand in within 30 minutes of your own group's last putt (808.F). "
    "Late: +2. Own total or a hole score wrong, missing or illegible: +2 (808.G)."
)
HORN = "Horn: 2 blasts two minutes to go · 1 long start or resume · 3 blasts stop play, take shelter"


@dataclass(frozen=True)
class _Card:
    """A card with its layout, ready to draw."""

    head: EventHead
    sheet: CardSheet
    layout: CardLayout
    room: float  # between the margins

    @property
    def grid_left(self) -> float:
        return MARGIN + self.layout.name_width + LABEL_WIDTH

    def grid_right(self, band: Band) -> float:
        return self.grid_left + len(band.holes) * self.layout.hole_width


def card_pages(head: EventHead, card: CardSheet) -> tuple[Page, ...]:
    """The card; one page but for layouts of very many holes. Raises ValueError without holes or players."""
    if not card.holes or not card.players:
        raise ValueError("a score card needs at least one hole and one player")
    page_w, page_h = page_size(head, landscape=True)
    inner = page_w - 2 * MARGIN
    room = page_h - 2 * MARGIN - FOOT - HEADER - _foot_height(card, inner)
    ready = _Card(head, card, plan(card.holes, card.players, width=inner, room=room), inner)
    return tuple(Page(_drawer(ready, index), landscape=True) for index in range(len(ready.layout.pages)))


def _drawer(card: _Card, index: int) -> Callable[[Pen], None]:
    pages = len(card.layout.pages)

    def draw(pen: Pen) -> None:
        _header(pen, card, f"part {index + 1} of {pages}" if pages > 1 else "")
        y = MARGIN + HEADER
        for band in card.layout.pages[index]:
            _band(pen, card, band, y)
            y += card.layout.band_height() + BAND_GAP
        if index == pages - 1:
            _foot(pen, card, y - BAND_GAP)
        _legend(pen, card.room)

    return draw


# Header


def _header(pen: Pen, card: _Card, part: str) -> None:
    sheet = card.sheet
    right = pen.width - MARGIN
    if sheet.url:
        pen.qr(right - QR_SIZE, MARGIN - 4, QR_SIZE, sheet.url)
        right -= QR_SIZE + 16
    label = " · ".join(filter(None, (sheet.copy_label, part)))
    if label:
        for row, line in enumerate(wrap(label, Style.BOLD, 11, COPY_WIDTH)):
            pen.text(right, MARGIN + 10 + row * 13, line, Style.BOLD, 11, align="right")
        right -= COPY_WIDTH + 12
    _title(pen, sheet, right - MARGIN)
    facts = _facts(card)
    size = fitting_size(facts, Style.BODY, (10.5, 10, 9.5), right - MARGIN) or 9.0
    for row, line in enumerate(wrap(facts, Style.BODY, size, right - MARGIN)):
        pen.text(MARGIN, MARGIN + 41 + row * size * 1.15, line, size=size)
    pen.rule(MARGIN, MARGIN + HEADER - 8, pen.width - MARGIN, MARGIN + HEADER - 8, 2.5)


def _title(pen: Pen, sheet: CardSheet, room: float) -> None:
    """The largest words of the card; divisions that do not fit are left out: each player's line has them."""
    words = _title_words(sheet)
    divisions = " ".join(dict.fromkeys(player.division for player in sheet.players if player.division))
    full = (*words, divisions) if divisions else words
    pieces, size = next(
        ((p, s) for p in (full, words) for s in (32.0, 28.0, 24.0, 20.0) if _title_width(p, s) <= room),
        (words, 16.0),
    )
    x = MARGIN
    for piece in pieces:
        pen.text(x, MARGIN + 22, piece, Style.HEAD, size)
        x += width(piece, Style.HEAD, size) + TITLE_GAP * size


def _title_width(pieces: Sequence[str], size: float) -> float:
    return sum(width(piece, Style.HEAD, size) for piece in pieces) + TITLE_GAP * size * (len(pieces) - 1)


def _title_words(sheet: CardSheet) -> tuple[str, ...]:
    blank = "____"
    group = f"Group {sheet.group_number or blank}"
    start = sheet.start_label or blank
    if sheet.start_kind == "shotgun":
        return group, f"starts hole {start}"
    return group, f"tee time {sheet.time_text or blank}", f"hole {start}"


def _facts(card: _Card) -> str:
    """One line: event, round, date and start; pool; layout with holes, par and length."""
    sheet = card.sheet
    when = f"round {sheet.round_number}" if sheet.round_number else "round ____"
    if sheet.date_text:
        when += f", {sheet.date_text}"
    if sheet.start_kind == "shotgun" and sheet.time_text:
        when += f", shotgun {sheet.time_text}"
    layout = [sheet.layout_name] if sheet.layout_name else []
    known = [hole for hole in sheet.holes if hole.label]
    if known:
        par, length = total_par(known), total_length(known)
        layout.append(f"{len(known)} holes")
        layout += [f"par {par}"] if par is not None else []
        layout += [length_text(length, card.head.units)] if length is not None else []
    return " · ".join(filter(None, (card.head.name, when, sheet.pool, ", ".join(layout))))


# The grid of holes and players


def _band(pen: Pen, card: _Card, band: Band, y: float) -> None:
    _band_head(pen, card, band, y)
    if band.last:
        _total_head(pen, card, card.grid_right(band), y)
    y += HEAD_ROWS
    for player, height in zip(card.sheet.players, card.layout.heights, strict=True):
        _boxes(pen, card, band, (y, height))
        _name(pen, card.layout, player, (y, height))
        y += height


def _band_head(pen: Pen, card: _Card, band: Band, y: float) -> None:
    unit = "feet" if card.head.units == "ft" else "metres"
    for word, baseline in (("hole", 12), ("par", 25), (unit, 37)):
        pen.text(MARGIN + 4, y + baseline, word, Style.BOLD, 9)
    lengths = [length_number(hole.length_m, card.head.units) if hole.label else "" for hole in band.holes]
    column = card.layout.hole_width
    label_style, length_style = (Style.HEAD, Style.HEAD) if column < CROWDED else (Style.BOLD, Style.BODY)
    label_size = _common_size([hole.label for hole in band.holes], label_style, (13, 12, 11, 10), column - 4)
    length_size = _common_size(lengths, length_style, (10, 9.5, 9, 8.5), column - 4)
    for index, (hole, length) in enumerate(zip(band.holes, lengths, strict=True)):
        middle = card.grid_left + (index + 0.5) * column
        if not hole.label:
            _empty_head(pen, middle - column / 2, y, column)
        pen.text(middle, y + 12, hole.label, label_style, label_size, align="centre")
        pen.text(middle, y + 25, number(hole.par) if hole.label else "", size=9.5, align="centre")
        pen.text(middle, y + 37, length, length_style, length_size, align="centre")


def _empty_head(pen: Pen, x: float, y: float, column: float) -> None:
    """Boxes to write hole, par and length in, where the layout is not known."""
    for top, bottom in ((1, 15), (15, 28), (28, HEAD_ROWS)):
        pen.box(x, y + top, column, bottom - top)


def _total_head(pen: Pen, card: _Card, x: float, y: float) -> None:
    pen.text(x + ADDED_WIDTH / 2, y + 12, "add.", Style.BOLD, 11, align="centre")
    middle = x + ADDED_WIDTH + TOTAL_WIDTH / 2
    pen.text(middle, y + 12, "total", Style.BOLD, 11, align="centre")
    holes = card.sheet.holes
    if all(hole.label for hole in holes):
        length = length_number(total_length(holes), card.head.units)
        pen.text(middle, y + 25, number(total_par(holes)), size=9.5, align="centre")
        pen.text(middle, y + 37, length, size=9.5, align="centre")


def _common_size(texts: Sequence[str], style: Style, sizes: Sequence[float], room: float) -> float:
    """One size for all texts of a row, so that no hole looks more important than another."""
    widest = max(texts, key=lambda text: width(text, style, 1))
    return fitting_size(widest, style, sizes, room) or sizes[-1]


def _boxes(pen: Pen, card: _Card, band: Band, span: tuple[float, float]) -> None:
    """One player's boxes; `span` is their top and their height."""
    y, height = span
    left, right = card.grid_left, card.grid_right(band)
    end = right + (ADDED_WIDTH + TOTAL_WIDTH if band.last else 0)
    low = height * PENALTY_SHARE
    middle = y + height - low
    pen.tint(left - LABEL_WIDTH, middle, right - left + LABEL_WIDTH, low)
    pen.box(MARGIN, y, end - MARGIN, height, 1.2)
    pen.rule(left - LABEL_WIDTH, middle, right, middle)
    pen.rule(left - LABEL_WIDTH, y, left - LABEL_WIDTH, y + height)
    for index in range(len(band.holes) + 1):
        x = left + index * card.layout.hole_width
        pen.rule(x, y, x, y + height)
    if band.last:
        pen.rule(right, y, right, y + height, 2.0)
        pen.rule(right + ADDED_WIDTH, y, right + ADDED_WIDTH, y + height, 2.0)
    pen.text(left - 4, y + (height - low) / 2 + 3, "score", size=9, align="right")
    pen.text(left - 4, middle + low / 2 + 3, "penalty", size=9, align="right")


def _name(pen: Pen, layout: CardLayout, player: CardPlayer, span: tuple[float, float]) -> None:
    y, height = span
    if not player.name:
        pen.text(MARGIN + 4, y + height - 4, "name, division", size=9)
        return
    y += 3
    for text, style, size in player_lines(player, layout.name_size, layout.name_width):
        pen.text(MARGIN + 4, y + size * 0.95, text, style, size)
        y += size * NAME_LEAD


# Warnings, signatures, rules


def _note_lines(sheet: CardSheet, room: float) -> list[str]:
    """The holes' short notes; what does not fit two lines is on the hole sheets."""
    notes = " · ".join(f"{hole.label}: {hole.note}" for hole in sheet.holes if hole.note)
    course = f"Course: {sheet.course_note}" if sheet.course_note else ""
    said = " · ".join(filter(None, (course, f"Holes: {notes}" if notes else "")))
    lines = wrap(said, Style.BODY, 9, room) if said else []
    if len(lines) <= 2:
        return lines
    return [lines[0], f"{wrap(lines[1], Style.BODY, 9, room - 110)[0]} … (see the hole sheets)"]


def _sign_rows(sheet: CardSheet, room: float) -> list[tuple[float, list[list[str]]]]:
    """Rows of labels under the rules: (height, wrapped label per cell)."""
    texts = [*(f"checked by {player.name}" for player in sheet.players), "last putt at", "returned at"]
    labels = [wrap(text, Style.BODY, 9, _sign_width(sheet, room)) for text in texts]
    columns = _sign_columns(sheet)
    rows = [labels[i : i + columns] for i in range(0, len(labels), columns)]
    return [(SIGN_LINE + 3 + 10.5 * max(len(label) for label in row), row) for row in rows]


def _sign_columns(sheet: CardSheet) -> int:
    return 5 if len(sheet.players) == 3 else 4  # three players and the two times stand in one row


def _sign_width(sheet: CardSheet, room: float) -> float:
    return (room + SIGN_GAP) / _sign_columns(sheet) - SIGN_GAP


def _rules_lines(room: float) -> list[str]:
    return wrap(SCORE_RULE, Style.BODY, 9, room) + wrap(RETURN_RULE, Style.BODY, 9, room)


def _foot_height(sheet: CardSheet, room: float) -> float:
    signs = sum(height for height, _ in _sign_rows(sheet, room))
    lines = len(_note_lines(sheet, room)) + len(_rules_lines(room))
    return 26 + signs + 8 + _LEGEND_LEAD * lines + 15


def _foot(pen: Pen, card: _Card, y: float) -> None:
    y += 20
    pen.text(MARGIN, y, "Warnings (who, hole, rule)", Style.BOLD, 9)
    pen.rule(MARGIN + 128, y + 2, pen.width - MARGIN, y + 2, 0.9)
    y += 6
    for note in _note_lines(card.sheet, card.room):
        y += _LEGEND_LEAD
        pen.text(MARGIN, y, note, size=9)
    line = _sign_width(card.sheet, card.room)
    for height, row in _sign_rows(card.sheet, card.room):
        for column, label in enumerate(row):
            x = MARGIN + column * (line + SIGN_GAP)
            pen.rule(x, y + SIGN_LINE, x + line, y + SIGN_LINE, 0.9)
            for index, words in enumerate(label):
                pen.text(x, y + SIGN_LINE + 10.5 * (index + 1), words, size=9)
        y += height


def _legend(pen: Pen, room: float) -> None:
    """Anchored at the foot of the page, so that it is in the same place on every card."""
    lines = _rules_lines(room)
    y = pen.height - MARGIN - FOOT - 15 - _LEGEND_LEAD * (len(lines) - 1)
    for line in lines:
        pen.text(MARGIN, y, line, size=9)
        y += _LEGEND_LEAD
    pen.text(MARGIN, y + 3, HORN, Style.BOLD, 9.5)
    pen.rule(MARGIN, y + 9, pen.width - MARGIN, y + 9, THICK)
