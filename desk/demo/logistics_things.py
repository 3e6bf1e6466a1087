"""The demo's things and its course made ready: most of it here, some short, a few holes still open."""

import random
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5

from events.course.models import Hole
from events.log.services import Actor
from events.logistics.ready.queries import readiness_of
from events.logistics.ready.services import MOST_ACTS, Said, add_own_work, say_work
from events.logistics.things.models import Lot
from events.logistics.things.queries import Item, things_of
from events.logistics.things.services import (
    add_lot,
    add_own,
    move_lot,
    plan_things,
    set_line_length,
    set_needed,
)
from events.setup.models import Event

ACTOR = Actor(name="demo")
WALKERS = ("Oda Brink (walk)", "Tarek Vond (walk)")
SPACE = UUID("b1f0c6de-1f0e-4d0c-9d3a-6a4f5e0f9a02")  # the acts of a seed are the same each time
PLAIN_EDGES = ("Pond",)
BORROWED = {"coolers": "Harbour rowing club", "horn": "Neighbour’s sailing school"}


def add_things(event: Event, *, seed: int, now: datetime) -> None:
    """Lengths of the lines, what came, in which box, and an own thing; the last lines stay short."""
    rng = random.Random(f"things {seed}")  # noqa: S311  invented stock
    plan_things(event=event, players=None, helpers=9, heat_c=27, actor=ACTOR, now=now)
    lines = things_of(event).lines
    holes = Hole.objects.select_related("event").in_bulk([line.hole.id for line in lines])
    for line in lines[:-1]:
        metres = 0 if line.name in PLAIN_EDGES else rng.randrange(30, 90, 5)
        set_line_length(hole=holes[line.hole.id], name=line.name, metres=metres, actor=ACTOR, now=now)
    add_own(event=event, name="Tent for the card room", needed=1, unit="", actor=ACTOR, now=now)
    set_needed(event=event, key="first-aid", needed=2, actor=ACTOR, now=now)
    for number, item in enumerate(things_of(event).items):
        if item.needed and number % 5 != 4:
            _bring(event, item, number, now)


def _bring(event: Event, item: Item, number: int, now: datetime) -> None:
    whose = BORROWED.get(item.key.removeprefix("kit-"), "")
    back: date | None = event.ends_on + timedelta(days=2) if whose else None
    bought = item.section in {"Prizes and packs", "People"}
    way = Lot.Way.BORROWED if whose else Lot.Way.BOUGHT if bought else Lot.Way.OWNED
    short = 2 if number % 7 == 3 and (item.needed or 0) > 2 else 0
    box = {"Paper": "A", "Course": "B", "People": "C", "Prizes and packs": "D"}.get(item.section, "E")
    lot = add_lot(
        event=event,
        key=item.key,
        count=(item.needed or 0) - short,
        way=way,
        whose=whose,
        back_on=back,
        box=box,
        actor=ACTOR,
        now=now,
    )
    if number % 6 != 5:
        move_lot(lot=lot, step="packed", done=True, box=None, actor=ACTOR, now=now)
        move_lot(lot=lot, step="on_site", done=True, box=None, actor=ACTOR, now=now)


def add_ready(event: Event, *, seed: int, now: datetime) -> None:
    """Two people walk the course; the last holes, and a mandatory here and there, are open still."""
    add_own_work(event=event, hole=None, words="Litter picked up", actor=ACTOR, now=now)
    holes = readiness_of(event).holes
    for index, walker in enumerate(WALKERS):
        mine = holes[index::2][: max(1, len(holes) // 2 - 2)]
        said = [
            Said(
                uuid5(SPACE, f"{event.pk} {seed} {state.hole.id} {work.task.key}"),
                state.hole.id,
                work.task.key,
                True,
            )
            for number, state in enumerate(mine)
            for work in state.work
            if not (number % 5 == 3 and work.task.key.startswith("mandatory"))
        ]
        for start in range(0, len(said), MOST_ACTS):
            part = said[start : start + MOST_ACTS]
            say_work(event=event, said=part, actor=Actor(name=walker), now=now)
