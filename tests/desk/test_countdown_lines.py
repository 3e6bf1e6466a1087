"""What the day page says of the countdown."""

from datetime import timedelta

import build
from desk.day import day_of
from events.logistics.countdown.services import TaskFacts, add_task, give_to, mark
from events.setup.models import Event

NOW = build.NOW


def said(event: Event) -> list[tuple[str, str]]:
    return [(line.text, line.url) for line in day_of(event, NOW).todo if "countdown" in line.text]


def test_a_countdown_that_nobody_keeps_reminds_nobody(event: Event) -> None:
    assert said(event) == []


def test_what_is_late_waits_on_the_day_page(event: Event) -> None:
    day = event.starts_on - timedelta(days=3)
    for what in ("Ask the ferry", "Ask the bus"):
        add_task(event=event, facts=TaskFacts(what, due_on=day), actor=build.ACTOR, now=NOW)
    give_to(event=event, keys=["own/1"], owner="Ondine", actor=build.ACTOR, now=NOW)
    page = "/desk/quiet-pines/logistics/countdown/"
    assert said(event) == [("Late on the countdown: 2 things, since Tue 9 Jun 2026", page)]

    mark(event=event, keys=["own/2"], state="done", reason="", actor=build.ACTOR, now=NOW)
    assert said(event) == [("Late on the countdown: Ask the ferry", page)]
