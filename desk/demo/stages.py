"""The demo event, brought to a stage through the services that the pages use."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import product
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from desk.demo.bags import add_bags
from desk.demo.course import describe_course
from desk.demo.logistics_countdown import add_countdown
from desk.demo.logistics_crew import add_crew
from desk.demo.logistics_running import add_running
from desk.demo.logistics_things import add_ready, add_things
from desk.demo.people import field_of
from desk.demo.plan import STAGES, plan_for
from desk.demo.play import round_of
from desk.demo.prizes import plan_prizes
from desk.demo.weather import read_weather
from desk.demo.workbooks import entrants_workbook
from desk.event_making import make_event
from events.course.queries import LayoutFacts
from events.draw.models import Sheet
from events.draw.queries import GroupView, SheetView, published_view
from events.draw.services import make_draw, publish
from events.entries.importing import bring_in
from events.entries.models import Entry, Payment, Status
from events.entries.queries import entries_of
from events.entries.services import check_in, set_conduct_signed, set_guardian, set_pack_given, take_payment
from events.log.services import Actor
from events.setup.models import Event, Round
from scoring.cards.calling import keep_call
from scoring.cards.checking import LineIn
from scoring.cards.live import MOST_ACTS, Saying, enter_holes
from scoring.cards.models import CardVersion
from scoring.cards.radio import Call
from scoring.cards.services import mark_finished, save_card
from scoring.cards.verifying import verify_card
from scoring.report.services import close_event
from scoring.standings.queries import totals_before

ACTOR = Actor(name="demo")
WAITING = 4
DRAWN_SPACE = UUID("6d2c0a53-6a0c-4f4e-9a55-0f5b6f0d5a11")  # submissions of the demo are the same for a seed


@dataclass(slots=True)
class Demo:
    """One demo in the making; `now` is the real present, which no act of it may pass."""

    event: Event
    rng: random.Random
    seed: int
    now: datetime

    def at(self, moment: datetime) -> datetime:
        return min(moment, self.now)


def make_demo(*, stage: str, players: int, seed: int, zone: str, now: datetime) -> Event:
    """Build the invented event and play it up to `stage`. The same seed gives the same people and scores."""
    reached = STAGES.index(stage)
    local = now.astimezone(ZoneInfo(zone))
    plan = plan_for(stage, now=local, zone=zone, players=players)
    field = field_of(players + WAITING, seed=seed, first_day=plan.event["first_day"])
    paid_pros = sum(1 for entrant in field if entrant.division == "MPO" and entrant.paid_cents)
    plan = plan_for(stage, now=local, zone=zone, players=players, pro_cap=max(4, paid_pros - WAITING))
    opened = now - timedelta(days=60)
    event = make_event(file=plan, actor=ACTOR, now=opened, is_demo=True)
    describe_course(event, seed=seed, now=opened)
    demo = Demo(event, random.Random(f"play {seed}"), seed, now)  # noqa: S311  invented scores, not secrets
    workbook = entrants_workbook(field, event.starts_on)
    bring_in(event=event, name="entrants.xlsx", data=workbook, actor=ACTOR, now=now - timedelta(days=2))
    if reached >= STAGES.index("checkin"):
        add_things(event, seed=seed, now=demo.at(_morning(event)))
        add_ready(event, seed=seed, now=demo.at(_morning(event)))
        _check_in(demo, share=0.7 if stage == "checkin" else 1.0)
        played = 0 if stage == "checkin" else 1 if stage == "round1" else event.rounds.count()
        first = list(event.rounds.order_by("number")[: max(1, played)])
        add_bags(event, seed=seed, now=demo.at(_morning(event)), rounds=first)
    if reached >= STAGES.index("round1"):
        plan_prizes(event, now=now - timedelta(hours=1))
        rounds = list(event.rounds.order_by("number"))
        last = 1 if stage == "round1" else len(rounds)
        for round_ in rounds[:last]:
            _play(demo, round_, finished=round_.number < last or stage == "closed")
        read_weather(event, first_start=rounds[last - 1].first_start_at, now=now)
    add_crew(event, seed=seed, now=now)
    add_running(event, now=now)
    if stage == "closed":
        close_event(event=event, reason="demo", actor=ACTOR, now=now)
    add_countdown(event, now=now)
    return event


def _morning(event: Event) -> datetime:
    """When bags are declared: an hour before the first start."""
    return event.rounds.get(number=1).first_start_at - timedelta(hours=1)


def _check_in(demo: Demo, *, share: float) -> None:
    """People come to the table: they pay what is due, sign, take their pack."""
    event = demo.event
    moment = event.checkin_opens_at or event.rounds.get(number=1).first_start_at - timedelta(hours=2)
    entries: Sequence[Entry] = list(entries_of(event).filter(status__in=[Status.CONFIRMED, Status.APPLIED]))
    order = demo.rng.sample(entries, len(entries))
    step = timedelta(minutes=70) / max(1, len(order))
    for entry in order[: round(len(order) * share)]:
        moment += step
        at = demo.at(moment)
        owed = entry.owed  # type: ignore[attr-defined]
        if owed > 0:
            method = demo.rng.choice([Payment.Method.CASH, Payment.Method.CASH, Payment.Method.CARD])
            take_payment(entry=entry, amount_cents=owed, method=method, actor=ACTOR, now=at)
            entry.refresh_from_db(fields=["status"])
        if entry.status != Status.CONFIRMED:
            continue  # paid, but the division is full: on the waitlist now
        if entry.division.code.startswith("MJ") and not entry.guardian:
            set_guardian(entry=entry, guardian=f"Guardian {entry.person.family_name}", actor=ACTOR, now=at)
        set_conduct_signed(entry=entry, signed=True, actor=ACTOR, now=at)
        check_in(entry=entry, actor=ACTOR, now=at)
        set_pack_given(entry=entry, given=True, actor=ACTOR, now=at)


def _play(demo: Demo, round_: Round, *, finished: bool) -> None:
    """Draw, publish and play a round: all cards in, or as far as the clock has come."""
    first = round_.number == 1
    start = min(round_.pools.values_list("first_start_at", flat=True))
    sheet = make_draw(
        round=round_,
        method=Sheet.Method.RANDOM if first else Sheet.Method.SCORE,
        seed=str(demo.seed),
        actor=ACTOR,
        now=demo.at(start - timedelta(minutes=50)),
        totals=None if first else totals_before(round_),
        only_checked_in=True,
    )
    publish(sheet=sheet, actor=ACTOR, now=demo.at(start - timedelta(minutes=40)))
    view = published_view(round_)
    if view is None:
        raise RuntimeError("a published sheet is gone")
    wind = demo.rng.uniform(-0.03, 0.06)
    for group in view.groups:
        _play_group(demo, round_, view, group, wind, finished=finished)


def _play_group(
    demo: Demo, round_: Round, view: SheetView, group: GroupView, wind: float, *, finished: bool
) -> None:
    layout = view.layouts[group.layout]
    pace = demo.rng.uniform(9.5, 11.5)  # minutes a hole
    ready = group.starts_at + timedelta(minutes=pace * len(layout.holes))
    elapsed = (demo.now - group.starts_at).total_seconds() / 60
    through = len(layout.holes) if finished else min(len(layout.holes), max(0, int(elapsed / pace)))
    scores = {m.entry_id: round_of(layout.pars, m.rating, demo.rng, wind=wind) for m in group.members}
    if through == 0:
        return
    complete = through == len(layout.holes)
    if complete:
        mark_finished(
            round=round_, group_number=group.number, at=demo.at(ready), actor=ACTOR, now=demo.at(ready)
        )
        returned = ready + timedelta(minutes=demo.rng.uniform(4, 22))
        if not finished and returned > demo.now:
            through = len(layout.holes) - 1  # the last hole is not at the desk yet: the card is still out
            complete = False
    order = [(group.position - 1 + step) % len(layout.holes) for step in range(through)]
    if not complete:
        _from_the_course(demo, round_, group, layout, scores, order)
        return
    save_card(
        round=round_,
        group_number=group.number,
        lines=[LineIn(entry, throws, written_total=sum(throws)) for entry, throws in scores.items()],
        base=0,
        submission=uuid5(DRAWN_SPACE, f"{demo.event.pk}/{round_.number}/{group.number}"),
        source=CardVersion.Source.PAPER,
        actor=ACTOR,
        now=demo.at(returned),
    )
    if finished:
        why = "the totals that the players wrote agree"
        verify_card(round=round_, group_number=group.number, why=why, actor=ACTOR, now=demo.at(returned))


def _from_the_course(
    demo: Demo,
    round_: Round,
    group: GroupView,
    layout: LayoutFacts,
    scores: Mapping[int, Sequence[int]],
    order: Sequence[int],
) -> None:
    """What is known of a group that is still out: its phone says each hole, every fourth group calls by radio."""
    if group.number % 4 == 0:
        to_par = tuple(sum(throws[hole] - layout.pars[hole] for hole in order) for throws in scores.values())
        call = Call(group.number, len(order), to_par)
        key = uuid5(DRAWN_SPACE, f"call {demo.event.pk}/{round_.number}/{group.number}")
        keep_call(round=round_, call=call, key=key, actor=ACTOR, now=demo.now)
        return
    keys = uuid5(DRAWN_SPACE, f"phone {demo.event.pk}/{round_.number}/{group.number}")
    sayings = [
        Saying(uuid5(keys, f"{entry}/{hole}"), seq, entry, layout.holes[hole].label, throws[hole])
        for seq, (hole, (entry, throws)) in enumerate(product(order, scores.items()), start=1)
    ]
    for first in range(0, len(sayings), MOST_ACTS):
        enter_holes(
            round=round_,
            group_number=group.number,
            device_key=keys,
            device_name=f"{group.members[0].listed.split(',')[0]}’s phone",
            sayings=sayings[first : first + MOST_ACTS],
            actor=Actor(name=f"group {group.number}"),
            now=demo.now,
        )
