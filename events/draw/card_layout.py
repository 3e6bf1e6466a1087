"""Where the boxes of a score card go: bands of holes, widths, heights and sizes, in points."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.draw.card_data import CardHole, CardPlayer
from events.paper.fonts import Style
from events.paper.text import wrap

NAME_WIDTHS = (122.0, 152.0, 182.0)  # the narrowest in which the names fit is taken
LABEL_WIDTH = 44.0  # "score" and "penalty" before each row
ADDED_WIDTH = 40.0
TOTAL_WIDTH = 44.0
HEAD_ROWS = 42.0  # hole, par and length
BAND_GAP = 10.0
NAME_LEAD = 1.18  # line pitch as a multiple of the size
SMALL = 9.0  # division and member number
NAME_SIZES = (12.0, 11.0, 10.0, 9.0)  # a name wraps; it is never smaller than 9 pt
ONE_BAND = 20  # holes that stand side by side without crowding
NARROWEST = 17.5  # a column in which a figure can still be written by hand (6 mm)
_TALLEST, _LOWEST = 54, 33  # score row and penalty row together


@dataclass(frozen=True)
class Band:
    """Holes side by side, with every player below them; the last band has the totals."""

    holes: tuple[CardHole, ...]
    last: bool


@dataclass(frozen=True)
class CardLayout:
    """One way to lay a card: the bands of each page, and the measures that they share."""

    pages: tuple[tuple[Band, ...], ...]
    name_width: float
    hole_width: float
    name_size: float
    heights: tuple[float, ...]  # per player, score row and penalty row together

    def band_height(self) -> float:
        return HEAD_ROWS + sum(self.heights)


def player_lines(player: CardPlayer, size: float, name_width: float) -> list[tuple[str, Style, float]]:
    """The name and what is known of the player, in lines that fit the name column."""
    room = name_width - 8
    facts = " · ".join(filter(None, (player.division, player.member_number, player.note)))
    name = [(line, Style.BOLD, size) for line in wrap(player.name, Style.BOLD, size, room)]
    return name + [(line, Style.BODY, SMALL) for line in wrap(facts, Style.BODY, SMALL, room)]


def lines_height(lines: Sequence[tuple[str, Style, float]]) -> float:
    """How tall the lines of a name cell stand, with the space around them."""
    return sum(size * NAME_LEAD for _, _, size in lines) + 6


def plan(
    holes: Sequence[CardHole], players: Sequence[CardPlayer], *, width: float, room: float
) -> CardLayout:
    """The most legible layout that fits `width` and, for all bands of one page together, `room`.

    Up to 20 holes stand in one band. More go into two bands; where two bands do not fit the page, into one
    band of narrow columns; and only where those would be too narrow to write in, onto one page per band.
    """
    chunk = -(-len(holes) // -(-len(holes) // ONE_BAND))
    bands = [tuple(holes[i : i + chunk]) for i in range(0, len(holes), chunk)]
    choices = [([bands], len(bands)), ([[tuple(holes)]], 1), ([[band] for band in bands], 1)]
    for paged, together in choices:
        for name_width in NAME_WIDTHS:
            column = _hole_width(paged, width - name_width)
            found = _sizes(players, name_width, room, together) if column >= NARROWEST else None
            if found:
                return CardLayout(_pages(paged), name_width, column, *found)
    # No group is so large; its card runs over the foot rather than lose anybody.
    heights = _heights(players, NAME_SIZES[-1], NAME_WIDTHS[-1], _LOWEST)
    column = _hole_width(choices[-1][0], width - NAME_WIDTHS[-1])
    return CardLayout(_pages(choices[-1][0]), NAME_WIDTHS[-1], column, NAME_SIZES[-1], heights)


_PagedBands = Sequence[Sequence[tuple[CardHole, ...]]]


def _pages(paged: _PagedBands) -> tuple[tuple[Band, ...], ...]:
    last = paged[-1][-1]
    return tuple(tuple(Band(band, last=band is last) for band in page) for page in paged)


def _hole_width(paged: _PagedBands, width: float) -> float:
    fixed = LABEL_WIDTH + ADDED_WIDTH + TOTAL_WIDTH
    return (width - fixed) / max(len(band) for page in paged for band in page)


def _sizes(
    players: Sequence[CardPlayer], name_width: float, room: float, bands: int
) -> tuple[float, tuple[float, ...]] | None:
    """Size of the names and the rows' heights: rows as tall as the page allows, then names to match."""
    for base in range(_TALLEST, _LOWEST - 1, -1):
        for size in NAME_SIZES:
            heights = _heights(players, size, name_width, base)
            if bands * (HEAD_ROWS + sum(heights)) + (bands - 1) * BAND_GAP <= room:
                return size, heights
    return None


def _heights(players: Sequence[CardPlayer], size: float, name_width: float, base: float) -> tuple[float, ...]:
    return tuple(max(float(base), lines_height(player_lines(player, size, name_width))) for player in players)
