"""The picture of one reading: a short axis around the limit, with the band in which nothing is proven. Pure."""

from dataclasses import dataclass
from decimal import Decimal

WIDTH, HEIGHT = 120, 14  # SVG units; a page may draw it larger
SPAN_G = Decimal(6)  # shown on either side of the limit
_ARROW = 7


@dataclass(frozen=True, slots=True)
class MassPicture:
    """Places in SVG units: the limit in the middle, the guard band around it, the reading as a dot.

    `arrow`: points of a triangle at the edge in place of the dot, for a reading beyond what is shown; else "".
    """

    limit_x: float
    guard_x: float
    guard_w: float
    reading_x: float
    arrow: str
    words: str


def mass_picture(
    reading_g: Decimal, limit_g: Decimal | None, guard_g: Decimal, probability: Decimal | None
) -> MassPicture | None:
    """The picture of a reading in grams; None where no limit is known."""
    if limit_g is None:
        return None
    per_gram = float(WIDTH / (2 * SPAN_G))
    off = reading_g - limit_g
    guard = float(min(guard_g, SPAN_G)) * per_gram
    middle = WIDTH / 2
    return MassPicture(
        limit_x=middle,
        guard_x=round(middle - guard, 1),
        guard_w=round(2 * guard, 1),
        reading_x=round(middle + float(min(max(off, -SPAN_G), SPAN_G)) * per_gram, 1),
        arrow=_arrow(off),
        words=_words(reading_g, limit_g, guard_g, probability),
    )


def _arrow(off_g: Decimal) -> str:
    if abs(off_g) <= SPAN_G:
        return ""
    tip, back = (WIDTH, WIDTH - _ARROW) if off_g > 0 else (0, _ARROW)
    return f"{tip},{HEIGHT // 2} {back},2 {back},{HEIGHT - 2}"


def _words(reading_g: Decimal, limit_g: Decimal, guard_g: Decimal, probability: Decimal | None) -> str:
    within = "" if probability is None else f", probability within {probability}"
    return f"{reading_g} g against {limit_g} g, guard band {guard_g} g either side{within}"
