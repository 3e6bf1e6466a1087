"""When each round is played: by its tee sheet, else by its pools, else by the plan, and with the stops of play."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from events.draw.models import Delay, Group, Pool, Sheet
from events.logistics.crew.windows import RoundTimes, Span
from events.safety.models import Suspension
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for

ROUND_MINUTES = "practice.round_minutes_18_holes.to"


def times_of(event: Event, now: datetime | None = None) -> dict[int, RoundTimes]:
    """Round id → its clock (6 queries). With `now`, a stop that still lasts counts as far as it has lasted."""
    length = timedelta(minutes=rulebook_for(event).int(ROUND_MINUTES))
    rounds = Round.objects.filter(event=event).select_related("event").order_by("number")
    published = Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    planned = Pool.objects.filter(round__event=event, retired=False)
    drawn = _by_round(published.values_list("sheet__round_id", "starts_at"))
    pools = _by_round(planned.values_list("round_id", "first_start_at"))
    stops = _stops(event, now)
    return {
        round_.pk: RoundTimes(
            number=round_.number,
            starts=tuple(drawn.get(round_.pk) or pools.get(round_.pk) or [round_.first_start_at]),
            length=length,
            stops=stops,
            checkin_opens=event.checkin_opens_at,
            checkin_closes=event.checkin_closes_at,
        )
        for round_ in rounds
    }


def _by_round(rows: Iterable[tuple[int, datetime]]) -> dict[int, list[datetime]]:
    found: dict[int, list[datetime]] = {}
    for round_id, moment in rows:
        found.setdefault(round_id, []).append(moment)
    return found


def _stops(event: Event, now: datetime | None) -> tuple[Span, ...]:
    """The stops of play, and delays typed by hand, which hold up whoever is out.

    A stop that ended the day ends with it: the shifts of the other day are written anew.
    """
    found = []
    for row in Suspension.objects.filter(event=event).exclude(ended=Suspension.Ended.CANCELLED):
        until = row.ended_at or now
        if until is not None and until > row.signalled_at:
            found.append(Span(row.signalled_at, until))
    typed = Delay.objects.filter(event=event, taken_back_at__isnull=True)
    return (*found, *(Span(row.since, row.until) for row in typed))
