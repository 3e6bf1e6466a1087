"""The stop on the public pages: over everything, and gone with the act that ends it."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

import build
from events.safety.models import Suspension
from events.safety.resuming import resume
from events.safety.suspending import suspend
from events.setup.models import Event
from scoring.standings.stop_seen import stop_seen


def stopped(event: Event, minutes: int = 0) -> Suspension:
    now = timezone.now()
    return suspend(
        event=event,
        cause="lightning",
        words="",
        where_to_go="Boat house: holes 1 to 9",
        signalled_at=now - timedelta(minutes=minutes),
        sounded=True,
        groups=[],
        actor=build.ACTOR,
        now=now,
    )


def text(event: Event, path: str = "") -> str:
    return Client().get(f"/board/{event.slug}/{path}").content.decode()


@pytest.mark.parametrize("path", ["", "parts/", "phone/", "stop/"])
def test_every_public_page_says_what_where_and_when(event: Event, path: str) -> None:
    assert "Play is suspended" not in text(event, path)
    suspension = stopped(event)
    page = text(event, path)
    restart = event.local(suspension.signalled_at + timedelta(minutes=30))
    for words in ("Play is suspended", "Boat house", "holes 1 to 9", "Mark your lie.", f"{restart:%H:%M}"):
        assert words in page
    assert "Local authorities, the land owner and" in page


def test_it_goes_with_the_restart(event: Event) -> None:
    suspension = stopped(event, minutes=31)
    assert "Wait for the long blast." in text(event)
    resume(
        suspension=suspension,
        mode="move_times",
        sounded=True,
        reason="",
        groups=[],
        actor=build.ACTOR,
        now=timezone.now(),
    )
    page = text(event)
    assert "Play is suspended" not in page
    assert "Play goes on" in page


def test_the_stop_is_said_once_and_not_as_a_notice_beside_it(event: Event) -> None:
    stopped(event)
    assert text(event, "stop/").count("Play is suspended") == 1


def test_a_page_is_current_until_something_is_written_or_the_clock_is_over(event: Event) -> None:
    suspension = stopped(event)
    now = timezone.now()
    seen = stop_seen(event, now)
    restart = suspension.signalled_at + timedelta(minutes=30)
    midnight = (now + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)
    assert seen.until == int(min(restart, midnight).timestamp()) + 1
    current = {"seen": seen.revision, "until": seen.until}
    client = Client()
    assert client.get(f"/board/{event.slug}/stop/", current).status_code == 204
    assert client.get(f"/board/{event.slug}/stop/", current | {"seen": 0}).status_code == 200


@pytest.mark.parametrize("minutes", [1, 3])
def test_the_banner_in_queries(event: Event, django_assert_num_queries: Any, minutes: int) -> None:
    stopped(event, minutes)
    address = f"/board/{event.slug}/stop/"
    current = {"seen": stop_seen(event, timezone.now()).revision, "until": 99999999999}
    with django_assert_num_queries(1):  # the length of the log
        Client().get(address, current)
