"""The sun on the days of the plan, and the rounds that it is too short for."""

from datetime import timedelta

from events.setup.models import Event
from events.setup.queries import Plan
from events.setup.sunlight import Daylight, daylight, in_the_dark


def plan_daylight(event: Event, plan: Plan) -> Daylight:
    """The days that have a round; the event's first and last where none is planned yet (no query)."""
    days = [round_.date for round_ in plan.rounds] or [event.starts_on, event.ends_on]
    return daylight(event, days)


def dark_rounds(event: Event, plan: Plan, light: Daylight) -> list[str]:
    """One sentence for each round that begins or, at the usual length, ends in the dark (no query)."""
    length = timedelta(minutes=plan.round_minutes)
    said = []
    for round_ in plan.rounds:
        start = event.at(round_.date, round_.first_start)
        words = in_the_dark(light, start, start + length, who="Who starts first")
        if words:
            said.append(f"Round {round_.number}: {words}")
    return said
