"""The event's days and moments as duties are dated from them."""

from collections.abc import Mapping
from datetime import datetime

from events.logistics.countdown.planned import DivisionTimes, EventPlan, RoundPlan
from events.logistics.play import RoundTimes, end_of
from events.setup.models import Event


def event_plan(event: Event, times: Mapping[int, RoundTimes]) -> EventPlan:
    """The plan by the clocks of its rounds (no query). Rounds end as expected; one that is not played is left out."""
    plans: list[RoundPlan] = []
    ended: dict[str, datetime] = {}
    for clock in sorted(times.values(), key=lambda clock: clock.number):
        ends = clock.ends
        if ends is None:
            continue
        plans.append(_round(clock, ends, ended))
        for start in clock.starts:
            end = end_of(start, clock.stops)
            ended[start.code] = max(end, ended.get(start.code, end))
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


def _round(clock: RoundTimes, ends: datetime, ended: Mapping[str, datetime]) -> RoundPlan:
    divisions: dict[str, DivisionTimes] = {}
    for start in sorted(clock.starts, key=lambda start: (start.code, start.moment)):
        if start.code:
            times = DivisionTimes(start.moment, start.tee_times, ended.get(start.code))
            divisions.setdefault(start.code, times)
    return RoundPlan(
        number=clock.number,
        first=clock.moments[0],
        ends=ends,
        divisions=divisions,
        shotguns=tuple(sorted({start.moment for start in clock.starts if not start.tee_times})),
        published=clock.published,
    )
