"""The demo event, brought to a stage through the services that the pages use."""

import random
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from desk.demo.arriving import check_everybody_in
from desk.demo.bags import add_bags
from desk.demo.course import describe_course
from desk.demo.emergency import add_emergency_plan
from desk.demo.endings import plan_cut, play_off, put_up_cut
from desk.demo.logistics_countdown import add_countdown
from desk.demo.logistics_crew import add_crew
from desk.demo.logistics_found import add_found
from desk.demo.logistics_running import add_running
from desk.demo.logistics_things import add_ready, add_things
from desk.demo.making import ACTOR, Demo
from desk.demo.penalties import warn_somebody
from desk.demo.people import field_of
from desk.demo.plan import STAGES, plan_for
from desk.demo.prizes import plan_prizes
from desk.demo.rounds import play_round
from desk.demo.weather import read_weather
from desk.demo.workbooks import entrants_workbook
from desk.event_file import EventFile
from desk.event_making import make_event
from events.entries.importing import bring_in
from events.setup.models import Event
from scoring.report.services import close_event

WAITING = 4


def make_demo(*, stage: str, players: int, seed: int, zone: str, now: datetime) -> Event:
    """Build the invented event and play it up to `stage`. The same seed gives the same people and scores."""
    reached = STAGES.index(stage)
    local = now.astimezone(ZoneInfo(zone))
    plan = plan_for(stage, now=local, zone=zone, players=players)
    field = field_of(players + WAITING, seed=seed, first_day=plan.event["first_day"])
    paid_pros = sum(1 for entrant in field if entrant.division == "MPO" and entrant.paid_cents)
    plan = plan_for(stage, now=local, zone=zone, players=players, pro_cap=max(4, paid_pros - WAITING))
    opened = _week_before_registration(plan, zone)
    event = make_event(file=plan, actor=ACTOR, now=opened, is_demo=True)
    describe_course(event, seed=seed, now=opened)
    plan_cut(event, now=opened)
    add_emergency_plan(event, now=now)
    demo = Demo(event, random.Random(f"play {seed}"), seed, now)  # noqa: S311  invented scores, not secrets
    workbook = entrants_workbook(field, event.starts_on)
    bring_in(event=event, name="entrants.xlsx", data=workbook, actor=ACTOR, now=now - timedelta(days=2))
    if reached >= STAGES.index("checkin"):
        _morning(demo, stage)
    if reached >= STAGES.index("round1"):
        _play(demo, stage)
    add_crew(event, seed=seed, now=now)
    add_running(event, now=now)
    if stage == "closed":
        play_off(demo)
        close_event(event=event, reason="demo", actor=ACTOR, now=now)
    add_countdown(event, now=now)
    return event


def _week_before_registration(plan: EventFile, zone: str) -> datetime:
    opens: datetime = plan.event["registration_opens"]
    return opens.replace(tzinfo=ZoneInfo(zone)) - timedelta(days=7)


def _morning(demo: Demo, stage: str) -> None:
    """An hour before the first start: things and course are looked at, people check in and declare their bags."""
    event, seed = demo.event, demo.seed
    at = demo.at(event.rounds.get(number=1).first_start_at - timedelta(hours=1))
    add_things(event, seed=seed, now=at)
    add_ready(event, seed=seed, now=at)
    check_everybody_in(demo, share=0.7 if stage == "checkin" else 1.0)
    first = list(event.rounds.order_by("number")[: 1 if stage in {"checkin", "round1"} else None])
    add_bags(event, seed=seed, now=at, rounds=first)


def _play(demo: Demo, stage: str) -> None:
    event, now = demo.event, demo.now
    plan_prizes(event, now=now - timedelta(hours=1))
    rounds = list(event.rounds.order_by("number"))
    last = rounds[0] if stage == "round1" else rounds[-1]
    for round_ in rounds[: last.number]:
        if round_ == rounds[-1]:
            put_up_cut(demo, before=round_.first_start_at)
        finished = round_ != last or stage == "closed"
        play_round(demo, round_, finished=finished, level=round_ == rounds[-1] and stage == "closed")
        if finished:
            warn_somebody(demo, round_)
    add_found(demo, rounds[0])
    read_weather(event, first_start=last.first_start_at, now=now)
