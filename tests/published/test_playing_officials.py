"""Competition Manual 2025, 1.12.E, and Official Rules 2025, 801.02.G: an official who plays has no power over the own
division."""

from datetime import UTC, date, datetime, timedelta

from events.logistics.crew.filling import Limits, Person, Task, suggest
from events.logistics.play import Span

NINE = datetime(2026, 6, 12, 9, tzinfo=UTC)
MORNING, AFTERNOON = (
    Span(NINE + timedelta(hours=first), NINE + timedelta(hours=first + 4)) for first in (0, 5)
)
LIMITS = Limits(change=15, in_one_go=300, rest=30, a_day=600)


def official(**facts: tuple[Span, ...]) -> Person:
    return Person(1, "Ines", certificates={"official": date(2027, 1, 1)}, minor=False, **facts)  # type: ignore[arg-type]


def zone(number: int, span: Span) -> Task:
    return Task(
        number, "marshal", "holes 1 to 9", span, date(2026, 6, 12), certificate="official", rules=True
    )


def test_a_playing_official_is_not_suggested_while_the_own_division_plays():
    """Plays in the morning with one half of the division, whose other half plays in the afternoon."""
    found = suggest(
        [official(playing=(MORNING,), own_division=(MORNING, AFTERNOON))], [zone(1, AFTERNOON)], [], LIMITS
    )
    assert found.placings == ()
    assert found.gaps[0].why == (
        "1: the own division plays (Competition Manual 2025, 1.12.E; Official Rules 2025, 801.02.G)",
    )


def test_a_playing_official_may_rule_on_others():
    found = suggest([official(playing=(MORNING,), own_division=(MORNING,))], [zone(1, AFTERNOON)], [], LIMITS)
    assert [(each.task_id, each.person_id) for each in found.placings] == [(1, 1)]
