"""Every constraint of the plan twice: the sentence for the form, and the refusal of the database."""

from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

import build
from build import NOW
from events.setup.models import AddOn, Division, Event, Role, Round, RuleOverride, Staff

pytestmark = pytest.mark.django_db
DAY = date(2026, 6, 12)
YEAR = "Write a year from 2000 to 2100."


def event_with(**facts: Any) -> Event:
    return Event(**({"slug": "x", "name": "X", "starts_on": DAY, "ends_on": DAY} | facts))


def round_with(event: Event, **facts: Any) -> Round:
    return Round(**({"event": event, "number": 9, "date": DAY} | facts))


def override_with(event: Event, **facts: Any) -> RuleOverride:
    whole = {"event": event, "key": "group.size_aim", "value": 3, "reason": "x", "by": "Tester", "at": NOW}
    return RuleOverride(**(whole | facts))


def staff_with(event: Event, **facts: Any) -> Staff:
    user = User.objects.create(username="wren")
    Staff.objects.create(event=event, user=user, role=Role.DESK)
    return Staff(**({"event": event, "user": user, "role": Role.DESK} | facts))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda _: event_with(ends_on=date(2026, 6, 11)), "The last day is before the first."),
        (lambda _: event_with(tier="Z"), "is not a valid choice"),
        (lambda _: event_with(region="moon"), "is not a valid choice"),
        (lambda _: event_with(units="yd"), "is not a valid choice"),
        (lambda _: event_with(paper="A5"), "is not a valid choice"),
        (lambda _: event_with(latitude=91), "A latitude lies between"),
        (lambda _: event_with(longitude=-181), "A longitude lies between"),
        (lambda _: event_with(slug="quiet-pines"), "already exists"),
        (lambda event: Division(event=event, code="MA1"), "This division is offered already."),
        (lambda event: Division(event=event, code=""), "cannot be blank"),
        (lambda event: round_with(event, number=1), "This round number is taken."),
        (lambda event: round_with(event, number=0), "Rounds are numbered 1 to 20."),
        (lambda event: round_with(event, number=21), "Rounds are numbered 1 to 20."),
        (lambda event: round_with(event, interval_minutes=61), "An interval is 1 to 60 minutes."),
        (lambda event: round_with(event, start_type="flex"), "is not a valid choice"),
        (lambda event: AddOn(event=event, name="Supper"), "An add-on of this name exists."),
        (staff_with, "This account has a role at this event."),
        (lambda event: staff_with(event, user_id=None, role="chef"), "is not a valid choice"),
        (override_with, "already exists"),
        (lambda event: override_with(event, key="other", reason=""), "cannot be blank"),
    ],
)
def test_what_cannot_be_is_said_and_refused(event, make, words):
    AddOn.objects.create(event=event, name="Supper")
    override_with(event).save()
    row: models.Model = make(event)

    with pytest.raises(ValidationError, match=words):
        row.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        type(row)._default_manager.bulk_create([row])


def test_a_time_zone_is_a_known_one(db):
    with pytest.raises(ValidationError, match="Mars/Olympus is not a time zone"):
        event_with(time_zone="Mars/Olympus").full_clean()


@pytest.mark.parametrize("year", [1, 1999, 2101, 9999])
def test_a_day_is_of_a_year_in_which_somebody_plays(event, year):
    """At the ends of the calendar no other clock can show the moment, and no refund can be counted from it."""
    day = date(year, 1, 1)
    rows = [event_with(starts_on=day), event_with(ends_on=day), round_with(event, date=day)]
    said = []
    for row in rows:
        with pytest.raises(ValidationError) as refused:
            row.full_clean()
        said.append([name for name, words in refused.value.message_dict.items() if words == [YEAR]])
    assert said == [["starts_on"], ["ends_on"], ["date"]]


@pytest.mark.parametrize("year", [2000, 2100])
def test_the_first_and_the_last_year_are_taken(event, year):
    event_with(starts_on=date(year, 1, 1), ends_on=date(year, 12, 31)).full_clean()
    round_with(event, date=date(year, 12, 31)).full_clean()


def test_moments_follow_the_venue_over_both_changes_of_the_clocks(db):
    event = event_with(time_zone="America/Chicago")
    zone = ZoneInfo("America/Chicago")

    hours = [
        event.at(day, time(0, 30)).utcoffset()
        for day in (date(2026, 3, 8), date(2026, 3, 9), date(2026, 11, 2))
    ]

    assert [offset.total_seconds() / 3600 for offset in hours] == [-6, -5, -6]
    assert event.local(NOW) == datetime(2026, 6, 12, 2, 0, tzinfo=zone)


def test_the_first_start_is_a_moment_at_the_venue(db):
    event = build.make_event(time_zone="Europe/Oslo")

    assert event.rounds.get(number=1).first_start_at == datetime(
        2026, 6, 12, 9, 0, tzinfo=ZoneInfo("Europe/Oslo")
    )
