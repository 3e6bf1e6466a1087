"""What the demo's director has added to the days, through the services."""

from datetime import datetime, time

from events.log.services import Actor
from events.logistics.running.anchors import CHECKIN_OPENS, CLOCK, DAY_BEGINS, DAY_ENDS, FIXED, LAST_START
from events.logistics.running.clocks import days_of
from events.logistics.running.laying import DESK, WEATHER
from events.logistics.running.services import ItemFacts, save_item
from events.setup.models import Event

ACTOR = Actor(name="demo")
# What, where it is drawn, who, place, tied to, minutes after it, how long.
EACH_DAY = (
    ("Cash float counted", DESK, "desk", "tournament central", CHECKIN_OPENS, -20, 10),
    ("Water points filled", DESK, "water", "holes 5, 9 and 14", DAY_BEGINS, -40, 30),
    ("Course walked for forgotten flags", DESK, "marshals", "", DAY_ENDS, 35, 40),
)
# What, where it is drawn, who, place, by the clock, whether nothing moves it, how long.
BY_THE_CLOCK = (
    ("Food stand open", DESK, "food stand", "car park", time(11, 30), False, 120),
    ("Thunder is forecast", WEATHER, "weather watcher", "", time(16), True, 120),
    ("Park gate locked by the warden", DESK, "warden", "gate", time(21), True, 0),
)


def add_running(event: Event, *, now: datetime) -> None:
    """The same items whatever the seed: they hang on the day, not on chance."""
    for day in days_of(event):
        for label, lane, owner, place, anchor, minutes, lasts in EACH_DAY:
            facts = ItemFacts(label, lane, owner, place, anchor, None, None, minutes, lasts)
            save_item(event=event, day=day, facts=facts, actor=ACTOR, now=now)
        for label, lane, owner, place, clock, fixed, lasts in BY_THE_CLOCK:
            facts = ItemFacts(label, lane, owner, place, FIXED if fixed else CLOCK, None, clock, 0, lasts)
            save_item(event=event, day=day, facts=facts, actor=ACTOR, now=now)
    first = event.rounds.order_by("number").first()
    if first is not None:
        facts = ItemFacts(
            "Interview for the local paper", DESK, "director", "board", LAST_START, first, None, 15, 15
        )
        save_item(event=event, day=first.date, facts=facts, actor=ACTOR, now=now)
