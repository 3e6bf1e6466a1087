"""An event moved by days: everything that is tied to its days comes with it, at the same hours, or nothing does."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import build
import build_cards
import build_crew
from events.draw.models import Group, Pool
from events.draw.moving_days import move_starts
from events.draw.services import make_draw
from events.log.models import Act
from events.logistics.countdown.models import Task
from events.logistics.countdown.queries import countdown_of
from events.logistics.crew.models import Need
from events.logistics.moving_days import move_plans
from events.logistics.running.models import RunItem
from events.rulebook.deadlines import business_days_after
from events.setup.models import Event, Role, Round
from events.setup.moving import CannotMove, move_event
from events.setup.services import Stale

SignIn = Callable[[Role], Client]
FOLLOW = (move_starts, move_plans)
HOME = "/desk/quiet-pines/plan/move/"


@pytest.fixture
def planned(event: Event) -> Event:
    """Everything that has a day: moments, pools, a draft, a shift with own hours, items of both days, own tasks."""
    event.time_zone = "America/Chicago"
    event.tier = "A"
    event.registration_opens_at = event.at(date(2026, 3, 1), time(18))
    event.registration_closes_at = event.at(date(2026, 6, 5), time(20))
    event.checkin_opens_at = event.at(date(2026, 6, 12), time(7))
    event.checkin_closes_at = event.at(date(2026, 6, 12), time(8, 30))
    event.save()
    event.rounds.update(start_type="tee_times")
    first = event.rounds.get(number=1)
    pool = Pool.objects.create(
        round=first, label="A", start_type="tee_times", first_start_at=event.at(first.date, time(9, 20))
    )
    pool.divisions.set(event.divisions.all())
    build_cards.make_field(event, 6)
    make_draw(round=first, method="random", seed="1", actor=build.ACTOR, now=build.NOW)
    begin = event.at(date(2026, 6, 11), time(17))
    build_crew.shift(event, "build", round=None, starts_at=begin, ends_at=begin + timedelta(hours=3))
    for day in (event.starts_on, event.ends_on):
        RunItem.objects.create(
            event=event, day=day, key="keys", label="Keys", anchor="day_begins", minutes=-90
        )
    Task.objects.create(event=event, number=1, what="Ask the ferry", start="first_day", days=14)
    Task.objects.create(event=event, number=2, what="Concert in the park", due_on=date(2026, 6, 1))
    return event


def moved(event: Event, days: int) -> Event:
    version = Event.objects.get(pk=event.pk).version
    done = move_event(
        event=event, version=version, days=days, follow=FOLLOW, actor=build.ACTOR, now=build.NOW
    )
    return Event.objects.get(pk=done.pk)


def clocks(event: Event) -> list[Any]:
    """Every day and moment by the venue's clock, without its zone: so that a change of the clocks moves nothing."""
    moments: list[datetime] = [
        *filter(None, (event.registration_opens_at, event.registration_closes_at)),
        *filter(None, (event.checkin_opens_at, event.checkin_closes_at)),
        *Pool.objects.order_by("pk").values_list("first_start_at", flat=True),
        *Group.objects.order_by("pk").values_list("starts_at", flat=True),
    ]
    for need in Need.objects.filter(starts_at__isnull=False):
        moments += filter(None, (need.starts_at, need.ends_at))
    days = [event.starts_on, event.ends_on, *Round.objects.order_by("number").values_list("date", flat=True)]
    days += RunItem.objects.order_by("pk").values_list("day", flat=True)
    return [event.local(moment).replace(tzinfo=None) for moment in moments] + days


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(-150, 400).filter(bool))
def test_a_moved_event_moves_every_moment_and_every_dated_duty(planned: Event, days: int) -> None:
    """By as many days, at the same hours. A span of business days ends on a working day, the agreement of an A-tier is
    due on a day of the calendar, an own task may have a fixed day; spans of hours pass over a change of the clocks."""
    with transaction.atomic():
        _moved_with_its_duties(Event.objects.get(pk=planned.pk), days)
        transaction.set_rollback(True)  # the next example begins with the same event


def _moved_with_its_duties(event: Event, days: int) -> None:
    before, by = clocks(event), timedelta(days=days)
    due = {line.key: line for line in countdown_of(event, build.NOW).lines}
    event = moved(event, days)

    assert clocks(event) == [each + by for each in before]
    after = {line.key: line for line in countdown_of(event, build.NOW).lines}
    assert after.keys() == due.keys()
    for key, line in due.items():
        if key == "own/2":
            expected: Any = line.due
        elif key == "agreement":
            expected = date(event.starts_on.year - 1, 12, 1)
        elif key == "report_late":  # days after a span of hours, which may end at 23:00 of the day before
            report = after["report"].due
            assert isinstance(report, datetime)
            expected = event.local(report).date() + timedelta(days=90)
        elif key == "e_payout":
            expected = business_days_after(event.ends_on, 2)
        else:
            assert line.due is not None, key
            expected = line.due + by
        found = after[key].due
        assert found is not None, key
        if isinstance(expected, datetime):
            assert isinstance(found, datetime)
            assert abs(found.astimezone(UTC) - expected.astimezone(UTC)) <= timedelta(hours=1), key
        else:
            assert found == expected, key
    assert clocks(moved(event, -days)) == before


def test_the_log_says_what_moved(planned: Event) -> None:
    moved(planned, 7)
    act = Act.objects.get(action="event.moved")
    assert act.detail["days"] == 7
    assert act.detail["moved"] == {
        "rounds": 2,
        "pools": 1,
        "groups of a draft": 2,
        "shifts with own hours": 1,
        "items of a day": 2,
    }
    assert act.detail["starts_on"] == {"old": "2026-06-12", "new": "2026-06-19"}


def test_a_clock_that_changes_between_keeps_the_hour(planned: Event) -> None:
    """9:20 in Chicago is 14:20 in June and 15:20 in December."""
    moved(planned, 183)
    pool = Pool.objects.get()
    assert pool.first_start_at.astimezone(UTC) == datetime(2026, 12, 12, 15, 20, tzinfo=UTC)
    assert pool.first_start_at.astimezone(ZoneInfo("America/Chicago")).time() == time(9, 20)


def test_nothing_moves_once_a_sheet_is_out(planned: Event) -> None:
    build_cards.publish(planned.rounds.get(number=2), [planned.entries.all()])
    before = clocks(Event.objects.get(pk=planned.pk))
    with pytest.raises(CannotMove, match="The tee sheet of round 2 is published"):
        moved(planned, 7)
    assert clocks(Event.objects.get(pk=planned.pk)) == before
    assert not Act.objects.filter(action="event.moved").exists()


@pytest.mark.parametrize("days", [0, 1001, -1001])
def test_a_number_of_days_that_cannot_be(planned: Event, days: int) -> None:
    with pytest.raises(CannotMove, match="Write by how many days: 1 to 1000"):
        moved(planned, days)


def test_neither_after_the_event_nor_over_a_plan_that_somebody_changed(planned: Event) -> None:
    with pytest.raises(Stale):
        move_event(
            event=planned, version=planned.version + 1, days=7, follow=(), actor=build.ACTOR, now=build.NOW
        )
    planned.over_at = build.NOW
    with pytest.raises(CannotMove, match="The event is over"):
        moved(planned, 7)


def test_the_plan_page_moves_it_and_says_why_not(planned: Event, client_as: SignIn) -> None:
    director, version = client_as(Role.DIRECTOR), planned.version
    page = director.post(HOME, {"days": "-7", "version": version}, follow=True).content.decode()
    assert "The event now begins Friday 5 June 2026." in page
    pool = Pool.objects.get()
    assert planned.local(pool.first_start_at).date() == date(2026, 6, 5)  # not only the plan's own rows

    answer = director.post(HOME, {"days": "soon", "version": version + 1})
    assert answer.status_code == 422
    assert "Write a whole number of days, as 7 or -7." in answer.content.decode()
    answer = director.post(HOME, {"days": "3", "version": version})
    assert answer.status_code == 422
    assert "The plan was changed by" in answer.content.decode()
    assert 'value="3"' in answer.content.decode()
    assert client_as(Role.DESK).post(HOME, {"days": "3", "version": version + 1}).status_code == 403
