"""What the day page says of the roster."""

from datetime import datetime, timedelta

import build
import build_crew
from desk.crew_lines import crew_lines
from events.setup.models import Event

EIGHT = datetime.fromisoformat("2026-06-12T08:00:00+00:00")
DAY = timedelta(days=1)


def said(event: Event, now: datetime) -> list[tuple[str, str]]:
    return [(line.text, line.when) for line in crew_lines(event, now)]


def test_free_places_are_said_from_a_day_before_to_the_end_of_the_shift(event: Event) -> None:
    assert said(event, EIGHT) == []
    build_crew.shift(event, people=2)  # 09:00 to 13:00
    assert said(event, EIGHT - DAY) == []
    assert said(event, EIGHT) == [("2 places of the roster are free", "from Fri 09:00")]
    assert said(event, EIGHT + timedelta(hours=2)) == [("2 places of the roster are free", "now")]
    assert said(event, EIGHT + timedelta(hours=6)) == []


def test_who_is_booked_twice_is_counted_and_not_named(event: Event) -> None:
    ines = build_crew.helper(event, "Ines")
    for duty in ("water", "spotter"):
        build_crew.stands(build_crew.shift(event, duty, duty), ines)
    assert said(event, EIGHT) == [("1 helper is booked twice", "")]
    Event.objects.filter(pk=event.pk).update(over_at=build.NOW)
    event.refresh_from_db()
    assert said(event, EIGHT) == []
