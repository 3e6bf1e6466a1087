from datetime import UTC, date, datetime

import pytest

from events.setup.models import Event
from events.setup.overview import days_text, facts_of


@pytest.mark.parametrize(
    ("first", "last", "text"),
    [
        (date(2026, 6, 12), date(2026, 6, 12), "12 June 2026"),
        (date(2026, 6, 12), date(2026, 6, 13), "12 to 13 June 2026"),
        (date(2026, 6, 30), date(2026, 7, 1), "30 June to 1 July 2026"),
        (date(2026, 12, 31), date(2027, 1, 1), "31 December 2026 to 1 January 2027"),
    ],
)
def test_days(first, last, text):
    assert days_text(first, last) == text


def test_what_is_not_set_is_said():
    event = Event(name="Otter", starts_on=date(2026, 6, 12), ends_on=date(2026, 6, 12))

    assert {fact.label: fact.value for fact in facts_of(event)} == {
        "days": "12 June 2026",
        "venue": "not set",
        "time zone": "UTC",
        "tier, region": "C-tier, United States and Canada",
        "registration": "not set",
        "check-in": "not set",
        "caps": "none",
        "money": "USD, handling fee $0",
        "cards": "as the manual asks in this region, A4, metres",
    }


def test_moments_are_those_of_the_venue():
    event = Event(
        starts_on=date(2026, 6, 12),
        ends_on=date(2026, 6, 12),
        time_zone="America/Chicago",
        registration_closes_at=datetime(2026, 6, 6, 4, 59, tzinfo=UTC),
        checkin_opens_at=datetime(2026, 6, 12, 12, 0, tzinfo=UTC),
        checkin_closes_at=datetime(2026, 6, 12, 13, 15, tzinfo=UTC),
    )
    facts = {fact.label: fact.value for fact in facts_of(event)}

    assert facts["registration"] == "closes Fri 5 June 23:59"
    assert facts["check-in"] == "Fri 12 June 07:00 to 08:15"
