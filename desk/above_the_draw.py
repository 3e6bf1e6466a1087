"""What the draw may not look up itself: totals, addresses of groups as phones reach them, and when a round was over."""

from datetime import datetime

from desk.signin import reachable
from events.draw.above import Above
from events.draw.models import Seat, Sheet
from events.setup.models import Round
from scoring.cards.links import group_paths
from scoring.cards.models import Card
from scoring.standings.after_cut import out_before
from scoring.standings.queries import totals_before


def ended(round: Round) -> dict[str, datetime | None]:
    """Division code → last putt of its last group, None while a group has not finished (2 queries)."""
    finished = dict(Card.objects.filter(round=round).values_list("group_number", "finished_at"))
    seats = Seat.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED).order_by("pk")
    ends: dict[str, datetime | None] = {}
    for code, number in seats.values_list("entry__division__code", "group__number"):
        end = finished.get(number)
        if code in ends:
            so_far = ends[code]
            end = max(so_far, end) if so_far is not None and end is not None else None
        ends[code] = end
    return ends


ABOVE = Above(
    totals_before=totals_before,
    group_paths=group_paths,
    reachable=reachable,
    ended=ended,
    out_before=out_before,
)
