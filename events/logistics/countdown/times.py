"""The event's days and moments, read from its tee sheets, else from its pools, else from its plan."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from events.draw.models import Pool, Seat, Sheet
from events.logistics.countdown.planned import DivisionTimes, EventPlan, RoundPlan
from events.rulebook.loader import Rulebook
from events.safety.models import Suspension
from events.setup.models import Division, Event, Round, StartType

ROUND_MINUTES = "practice.round_minutes_18_holes.to"


@dataclass(frozen=True, slots=True)
class _Start:
    """A moment at which somebody of a division starts, in round `number`."""

    number: int
    code: str
    moment: datetime
    tee_times: bool


@dataclass(frozen=True, slots=True)
class _Clock:
    """How long a round is expected to last, and when play stood still."""

    length: timedelta
    stops: Sequence[tuple[datetime, datetime]]

    def end(self, start: datetime) -> datetime:
        """A stop lengthens the round of whoever had started; whoever had not got another start."""
        end = start + self.length
        for began, ended in self.stops:
            if start <= began < end:
                end += ended - began
        return end


def event_plan(event: Event, book: Rulebook, now: datetime) -> EventPlan:
    """6 queries. Rounds end as expected: the last start and the usual length, with the stops of play until `now`."""
    rounds = list(Round.objects.filter(event=event).select_related("event").order_by("number"))
    clock = _Clock(timedelta(minutes=book.int(ROUND_MINUTES)), _stops(event, now))
    starts = _starts(event, rounds)
    sheets = Sheet.objects.filter(round__event=event, state=Sheet.State.PUBLISHED)
    published = dict(sheets.values_list("round__number", "published_at"))
    plans: list[RoundPlan] = []
    ended: dict[str, datetime] = {}
    for round_ in rounds:
        own = [start for start in starts if start.number == round_.number]
        plans.append(_round(round_, own, clock, ended, published.get(round_.number)))
        for start in own:
            ended[start.code] = max(clock.end(start.moment), ended.get(start.code, start.moment))
    return EventPlan(
        zone=event.zone,
        first_day=event.starts_on,
        last_day=event.ends_on,
        registration_opens=event.registration_opens_at,
        registration_closes=event.registration_closes_at,
        checkin_opens=event.checkin_opens_at,
        over_at=event.over_at,
        days_off=event.holidays,
        rounds=tuple(plans),
    )


def _round(
    round_: Round,
    starts: Sequence[_Start],
    clock: _Clock,
    ended: Mapping[str, datetime],
    published: datetime | None,
) -> RoundPlan:
    moments = [start.moment for start in starts] or [round_.first_start_at]
    divisions: dict[str, DivisionTimes] = {}
    for start in sorted(starts, key=lambda start: (start.code, start.moment)):
        times = DivisionTimes(start.moment, start.tee_times, ended.get(start.code))
        divisions.setdefault(start.code, times)
    return RoundPlan(
        number=round_.number,
        first=min(moments),
        ends=max(clock.end(moment) for moment in moments),
        divisions=divisions,
        shotguns=tuple(sorted({start.moment for start in starts if not start.tee_times})),
        published=published,
    )


def _starts(event: Event, rounds: Sequence[Round]) -> list[_Start]:
    """Every start of every division (3 queries): of its sheet, else its pools, else the plan."""
    tee = StartType.TEE_TIMES
    seats = Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    drawn = [
        _Start(number, code, moment, kind == tee)
        for number, code, moment, kind in seats.values_list(
            "sheet__round__number", "entry__division__code", "group__starts_at", "group__pool__start_type"
        ).distinct()
    ]
    pools = Pool.objects.filter(round__event=event, retired=False, divisions__isnull=False)
    planned = [
        _Start(number, code, moment, kind == tee)
        for number, code, moment, kind in pools.values_list(
            "round__number", "divisions__code", "first_start_at", "start_type"
        )
    ]
    codes = Division.objects.filter(event=event, dropped_at__isnull=True).values_list("code", flat=True)
    offered = list(codes.order_by("order", "code"))
    found: list[_Start] = []
    for round_ in rounds:
        own = [start for start in drawn if start.number == round_.number]
        own = own or [start for start in planned if start.number == round_.number]
        plain = round_.start_type == tee
        found += own or [_Start(round_.number, code, round_.first_start_at, plain) for code in offered]
    return found


def _stops(event: Event, now: datetime) -> list[tuple[datetime, datetime]]:
    """When play stood still (1 query); a stop that lasts counts as far as it has lasted."""
    rows = Suspension.objects.filter(event=event).exclude(ended=Suspension.Ended.CANCELLED)
    spans = [(row.signalled_at, row.ended_at or now) for row in rows.order_by("signalled_at")]
    return [(began, ended) for began, ended in spans if ended > began]
