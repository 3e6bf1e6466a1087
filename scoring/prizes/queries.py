"""What the rooms above ask of the prizes: the purse, what was paid out, what is open."""

from dataclasses import dataclass
from datetime import datetime

from events.setup.models import Event
from scoring.prizes.awards import awards_of
from scoring.prizes.models import HandOver
from scoring.prizes.planning import EventPurse, posting_warning, purse_of
from scoring.prizes.still_open import open_in

__all__ = ["EventPurse", "PaidOut", "open_prizes", "paid_out", "posting_warning", "purse_of"]


@dataclass(frozen=True, slots=True)
class PaidOut:
    """A prize that was handed out and not taken back. `method` and `kind` as in `HandOver`."""

    division: str
    entry_id: int
    name: str
    place: int
    cents: int
    method: str
    kind: str
    handed_out_at: datetime


def paid_out(event: Event) -> list[PaidOut]:
    """Every prize that changed hands, in the order in which it did (1 query)."""
    rows = (
        HandOver.objects.filter(entry__event=event, taken_back_at=None)
        .select_related("entry__person", "division")
        .order_by("at", "pk")
    )
    return [
        PaidOut(
            division=row.division.code,
            entry_id=row.entry_id,
            name=row.entry.person.name,
            place=row.place,
            cents=row.cents,
            method=row.method,
            kind=row.kind,
            handed_out_at=row.at,
        )
        for row in rows
    ]


def open_prizes(event: Event, *, now: datetime | None = None) -> list[str]:
    """A sentence for each thing about the prizes that somebody still has to do (22 queries).

    `now` tells a prize that waits from one that nobody claimed in time; None: every prize still waits.
    """
    return open_in(awards_of(event), today=event.local(now).date() if now is not None else None)
