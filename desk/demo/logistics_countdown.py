"""The demo's countdown: what was done in time, what nobody needed, one thing that is late, and tasks of its own."""

from datetime import datetime, timedelta

from events.log.services import Actor
from events.logistics.countdown.queries import Line, countdown_of
from events.logistics.countdown.services import TaskFacts, add_task, give_to, mark, open_feed
from events.logistics.messages.services import choose_words
from events.setup.models import Event

ACTOR = Actor(name="demo")
LEFT_LATE = "usual_sponsors"  # so that the page has something that is late
NOT_NEEDED = {"exceptions": "nobody is let in early", "usual_toilets": "the park has toilets"}
TASKS = (
    TaskFacts(
        "Ask the ferry for a late boat on Sunday",
        "first_day",
        14,
        owner="Ondine",
        slips="Players miss the final.",
    ),
    TaskFacts("Borrow the second practice basket from the school", "first_day", 5, owner="equipment"),
    TaskFacts("Write to the newspaper", "last_day", 1, slips="The town hears nothing of it."),
)


def add_countdown(event: Event, *, now: datetime) -> None:
    """Mark what lies behind the event, through the services that the page uses."""
    for facts in TASKS:
        add_task(event=event, facts=facts, actor=ACTOR, now=now - timedelta(days=1))
    for line in countdown_of(event, now).late:
        _settle(event, line, now - timedelta(hours=1))
    give_to(event=event, keys=["usual_thanks"], owner="Ondine", actor=ACTOR, now=now)
    open_feed(event=event, owner="", actor=ACTOR, now=now)
    choose_words(event=event, tags=["en"], sign="Ondine Kestrel", actor=ACTOR, now=now)


def _settle(event: Event, line: Line, now: datetime) -> None:
    reason = NOT_NEEDED.get(line.key, "")
    if line.key == LEFT_LATE:
        return
    state = "not_needed" if reason else "done"
    mark(event=event, keys=line.keys, state=state, reason=reason, actor=ACTOR, now=now)
