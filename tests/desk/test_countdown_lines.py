"""What the day page says of the countdown."""

from datetime import timedelta

import build
from desk.day import day_of
from events.logistics.countdown.services import TaskFacts, add_task, give_to, mark
from events.setup.models import Event

NOW = build.NOW
PAGE = "/desk/quiet-pines/logistics/countdown/"


def said(event: Event) -> list[tuple[str, str]]:
    return [(line.text, line.url) for line in day_of(event, NOW).todo if "countdown" in line.text]


def test_before_registration_opens_a_countdown_that_nobody_keeps_reminds_nobody(event: Event) -> None:
    event.starts_on = event.ends_on = (NOW + timedelta(days=60)).date()
    event.rounds.update(date=event.starts_on)
    event.registration_opens_at = NOW + timedelta(minutes=1)
    event.save()
    assert said(event) == []

    event.registration_opens_at = NOW - timedelta(hours=3)
    event.save()  # caps, cut and fees inside the fee were due at the opening, the exceptions two days before
    assert said(event) == [("Late on the countdown: 4 things, since Wed 10 Jun 2026 04:00", PAGE)]


def test_what_is_late_and_what_is_due_today_waits_on_the_day_page(event: Event) -> None:
    day = event.starts_on - timedelta(days=3)
    for what in ("Ask the ferry", "Ask the bus"):
        add_task(event=event, facts=TaskFacts(what, due_on=day), actor=build.ACTOR, now=NOW)
    give_to(event=event, keys=["own/1"], owner="Ondine", actor=build.ACTOR, now=NOW)
    # Restroom, course rules and weather plan by the first start, payout by the last one.
    today = ("Due today on the countdown: 4 things", PAGE)
    assert said(event) == [("Late on the countdown: 2 things, since Tue 9 Jun 2026", PAGE), today]

    mark(event=event, keys=["own/2"], state="done", reason="", actor=build.ACTOR, now=NOW)
    assert said(event) == [("Late on the countdown: Ask the ferry", PAGE), today]
