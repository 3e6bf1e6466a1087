"""What the equipment desk shows: one player's bag with what is known of each piece, and how the desk stands."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import uuid4

from events.bags.desk_line import FINE, LETTERS
from events.bags.judging import Judged, judge
from events.bags.models import Question, Scale, Weighing
from events.bags.pages import Line
from events.bags.queries import bag_of
from events.bags.weighings import valid_check
from events.entries.models import Entry
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round

BAR_W = 120
BAR_SPAN = 6  # grams on either side of the limit


@dataclass(frozen=True, slots=True)
class Bar:
    """A reading on a short axis around its limit, in SVG units: limit in the middle, guard band around it."""

    limit_x: float
    guard_x: float
    guard_w: float
    reading_x: float
    words: str


@dataclass(frozen=True, slots=True)
class DeskPiece:
    """A piece as the desk sees it. `current`: the cursor goes there."""

    line: Line
    bar: Bar | None
    current: bool

    @property
    def judged(self) -> Judged:
        return self.line.judged


def bar_of(weighing: Weighing | None) -> Bar | None:
    """The picture of a reading; None without a limit."""
    if weighing is None or weighing.limit_g is None:
        return None
    scale = BAR_W / (2 * BAR_SPAN)
    off = min(max(float(weighing.reading_g - weighing.limit_g), -BAR_SPAN), BAR_SPAN)
    guard = min(float(weighing.guard_g), BAR_SPAN)
    p = f", {weighing.probability * 100:.0f} % within" if weighing.probability is not None else ""
    return Bar(
        limit_x=BAR_W / 2,
        guard_x=round(BAR_W / 2 - guard * scale, 1),
        guard_w=round(2 * guard * scale, 1),
        reading_x=round(BAR_W / 2 + off * scale, 1),
        words=f"{weighing.shown_g} g against {weighing.limit_g} g{p}",
    )


def bag_desk(entry: Entry, round: Round, *, at: int | None = None) -> dict[str, Any]:
    """The bag on the table; `at` is the number of the piece to go to, else the first that is not weighed.

    11 queries for any number of pieces.
    """
    view = bag_of(entry, round)
    discs = [piece.disc for piece in view.pieces]
    judged = judge(entry.event, discs, round)
    lines = [Line(piece, judged[piece.disc.pk]) for piece in view.pieces]
    lines.sort(key=lambda line: (not line.piece.in_bag, line.piece.disc.number))
    carried = [line for line in lines if line.piece.in_bag]
    unweighed = [line for line in carried if line.judged.weighing is None]
    number = at if at is not None else (unweighed[0].piece.disc.number if unweighed else None)
    pieces = [
        DeskPiece(line, bar_of(line.judged.weighing), line.piece.disc.number == number) for line in lines
    ]
    return {
        "entry": entry,
        "round": round,
        "view": view,
        "pieces": pieces,
        "weighed": len(carried) - len(unweighed),
        "carried": len(carried),
        "forbidden": [line for line in lines if line.judged.forbidden],
        "unproven": [line for line in lines if line.judged.unproven and not line.judged.forbidden],
        "submission": str(uuid4()),
        "keys": [(letter, words) for letter, (_, _, words) in LETTERS.items()],
        "fine_key": FINE,
        "questions": list(
            Question.objects.filter(entry=entry, approved__isnull=True).select_related("disc").order_by("pk")
        ),
    }


def scales_of(event: Event, book: Rulebook, now: datetime) -> list[dict[str, Any]]:
    """Scales in use, each with the check that a reading may rest on (1 query, and 1 for each scale)."""
    scales = Scale.objects.filter(event=event, retired_at__isnull=True).order_by("resolution_g", "name")
    return [{"scale": scale, "check": valid_check(scale, book, now)} for scale in scales]


def chosen_scale(scales: list[dict[str, Any]], kept: Any) -> dict[str, Any] | None:
    """The scale of this station, else the only one there is."""
    found = next((each for each in scales if each["scale"].pk == kept), None)
    return found or (scales[0] if len(scales) == 1 else None)


def working_of(weighing: Weighing) -> Mapping[str, str]:
    """Every figure that a decision rests on, in words."""
    limit = weighing.limit_g
    return {
        "reading": f"{weighing.shown_g} g on {weighing.scale.name}, which shows steps of {weighing.scale.step} g",
        "limit": "not known" if limit is None else f"{limit} g as listed ({weighing.list})",
        "formula": "–" if weighing.formula_limit_g is None else f"{weighing.formula_limit_g} g",
        "standard uncertainty": f"{weighing.uncertainty_g} g",
        "guard band": f"{weighing.guard_g} g",
        "accepted up to": "–" if limit is None else f"{limit - weighing.guard_g} g",
        "rejected from": "–" if limit is None else f"{limit + weighing.guard_g} g",
        "probability within": "–" if weighing.probability is None else f"{weighing.probability}",
        "decision": weighing.get_zone_display(),
        "scale check": (
            "none valid"
            if weighing.check_used is None
            else f"{weighing.check_used.reference_g} g showed {weighing.check_used.reading_g} g"
        ),
        "by": weighing.by,
    }
