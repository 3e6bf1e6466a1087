"""What the day page says of rounds that run into each other."""

from datetime import timedelta

import build
from desk.day import day_of
from events.setup.models import Event


def lines(event: Event, *, hours_before: int) -> list[tuple[str, str]]:
    now = event.rounds.get(number=2).first_start_at - timedelta(hours=hours_before)
    return [(line.text, line.url) for line in day_of(event, now).todo if "may last until" in line.text]


def test_a_round_that_starts_before_the_one_before_can_be_over_is_said_a_day_ahead(event: Event) -> None:
    assert lines(event, hours_before=3) == []
    event.rounds.filter(number=2).update(first_start="12:30")
    said = [
        (
            "Round 2 starts 12:30, round 1 may last until 13:00",
            "/desk/quiet-pines/logistics/day/?day=2026-06-12",
        )
    ]
    assert lines(event, hours_before=3) == said
    assert lines(event, hours_before=25) == []
    event.over_at = build.NOW
    assert lines(event, hours_before=3) == []
