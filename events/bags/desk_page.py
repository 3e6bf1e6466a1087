"""What the equipment desk shows: one player's bag with what is known of each piece, and how the desk stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import uuid4

from events.bags.desk_line import FINE, LETTERS
from events.bags.judging import Judged, judge
from events.bags.mass_picture import MassPicture, mass_picture
from events.bags.models import Question, Scale, Weighing
from events.bags.pages import ROLE_WORDS, WEAR_WORDS, Line
from events.bags.piece_fields import ROLES, WEARS
from events.bags.queries import bag_of
from events.bags.scales import valid_checks
from events.bags.weighing import NEXT_STEP, Zone
from events.entries.models import Entry
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round
from players.models import Disc


@dataclass(frozen=True, slots=True)
class DeskPiece:
    """A piece as the desk sees it. `current`: the cursor goes there."""

    line: Line
    picture: MassPicture | None
    current: bool

    @property
    def judged(self) -> Judged:
        return self.line.judged

    @property
    def accept_to(self) -> Decimal | None:
        """The heaviest reading that was accepted on that scale, in grams; None without a weighing or a limit."""
        weighing = self.judged.weighing
        return weighing.edges_g[0] if weighing else None

    @property
    def reject_from(self) -> Decimal | None:
        """The lightest reading that was rejected on that scale, in grams."""
        weighing = self.judged.weighing
        return weighing.edges_g[1] if weighing else None

    @property
    def next_step(self) -> str:
        weighing = self.judged.weighing
        return NEXT_STEP[Zone(weighing.zone)] if weighing else ""


def picture_of(weighing: Weighing | None) -> MassPicture | None:
    """The picture of a weighing; None without one, or without a limit."""
    if weighing is None:
        return None
    return mass_picture(weighing.shown_g, weighing.limit_g, weighing.guard_g, weighing.probability)


def next_number(carried: Sequence[Line], after: int | None, step_g: Decimal | None) -> int | None:
    """The number of the piece that the cursor goes to: the next one that is not weighed; then what is not proven
    on a scale coarser than the one at this station, whose step is `step_g`; None: the bag is done here."""
    unweighed = [line for line in carried if line.judged.weighing is None]
    finer = [line for line in carried if step_g is not None and _wants_finer(line.judged.weighing, step_g)]
    numbers = [line.piece.disc.number for line in unweighed or finer]
    return next((n for n in numbers if after is None or n > after), numbers[0] if numbers else None)


def _wants_finer(weighing: Weighing | None, step_g: Decimal) -> bool:
    if weighing is None or weighing.zone != Weighing.Zone.NOT_PROVEN:
        return False
    return step_g < weighing.scale.resolution_g


def bag_desk(
    entry: Entry,
    round: Round,
    *,
    at: int | None = None,
    after: int | None = None,
    step_g: Decimal | None = None,
) -> dict[str, Any]:
    """The bag on the table. The cursor goes to piece `at`, else to the next one to weigh after piece `after`, whose
    reading is shown as the last; `step_g` is that of the station's scale.

    11 queries for any number of pieces, and 1 after a reading.
    """
    view = bag_of(entry, round)
    discs = [piece.disc for piece in view.pieces]
    judged = judge(entry.event, discs, round)
    lines = [Line(piece, judged[piece.disc.pk]) for piece in view.pieces]
    lines.sort(key=lambda line: (not line.piece.in_bag, line.piece.disc.number))
    carried = [line for line in lines if line.piece.in_bag]
    weighed = sum(line.judged.weighing is not None for line in carried)
    number = at if at is not None else next_number(carried, after, step_g)
    pieces = [
        DeskPiece(line, picture_of(line.judged.weighing), line.piece.disc.number == number) for line in lines
    ]
    last = next((each for each in pieces if each.line.piece.disc.number == after), None)
    counts = last.judged.weighing if last is not None else None
    return {
        "entry": entry,
        "round": round,
        "view": view,
        "pieces": pieces,
        "last": last if counts is not None else None,
        "outranked": _outranked(counts) if counts is not None else None,
        "done": bool(carried) and number is None,
        "weighed": weighed,
        "carried": len(carried),
        "forbidden": [line for line in lines if line.judged.forbidden],
        "unproven": [line for line in lines if line.judged.unproven and not line.judged.forbidden],
        "submission": str(uuid4()),
        "new_act": str(uuid4()),
        "blank": Disc(),
        "roles": [(value, ROLE_WORDS[value]) for value in ROLES],
        "wears": [(value, WEAR_WORDS[value]) for value in WEARS],
        "keys": [(letter, words) for letter, (_, _, words) in LETTERS.items()],
        "fine_key": FINE,
        "questions": list(
            Question.objects.filter(entry=entry, approved__isnull=True).select_related("disc").order_by("pk")
        ),
    }


def _outranked(counts: Weighing) -> Weighing | None:
    """The reading made just now, where an earlier one on a finer scale counts instead (1 query)."""
    made = Weighing.objects.filter(disc=counts.disc_id, entry=counts.entry_id).select_related("scale")
    newest = made.order_by("-pk").first()
    return newest if newest is not None and newest.pk != counts.pk else None


def scales_of(event: Event, book: Rulebook, now: datetime) -> list[dict[str, Any]]:
    """Scales in use, each with the check that a reading may rest on (2 queries)."""
    scales = Scale.objects.filter(event=event, retired_at__isnull=True).order_by("resolution_g", "name")
    valid = valid_checks(event, book, now)
    return [{"scale": scale, "check": valid.get(scale.pk)} for scale in scales]


def chosen_scale(scales: list[dict[str, Any]], kept: Any) -> dict[str, Any] | None:
    """The scale of this station, else the only one there is."""
    found = next((each for each in scales if each["scale"].pk == kept), None)
    return found or (scales[0] if len(scales) == 1 else None)


def working_of(weighing: Weighing) -> Mapping[str, str]:
    """Every figure that a decision rests on, in words."""
    limit = weighing.limit_g
    accept_to, reject_from = weighing.edges_g
    return {
        "reading": f"{weighing.shown_g} g on {weighing.scale.name}, which shows steps of {weighing.scale.step} g",
        "limit": "not known" if limit is None else f"{limit} g as listed ({weighing.list})",
        "formula": "–" if weighing.formula_limit_g is None else f"{weighing.formula_limit_g} g",
        "standard uncertainty": f"{weighing.uncertainty_g} g",
        "guard band": f"{weighing.guard_g} g",
        "accepted up to": "–" if accept_to is None else f"{accept_to} g",
        "rejected from": "–" if reject_from is None else f"{reject_from} g",
        "probability within": "–" if weighing.probability is None else f"{weighing.probability}",
        "decision": weighing.get_zone_display(),
        "scale check": "none valid" if weighing.check_used is None else weighing.check_used.words,
        "by": weighing.by,
    }
