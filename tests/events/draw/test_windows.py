"""Playing windows: from the published sheet, else from the pools, else from the plan."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

import build
from build import ACTOR, NOW
from events.course.models import LayoutUse
from events.draw.models import Pool, Sheet
from events.draw.pages import sun_over
from events.draw.services import make_draw, publish
from events.draw.windows import play_windows
from events.setup.models import Event
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db


def windows(event: Event) -> list[tuple[int, datetime, datetime, str]]:
    book = rulebook_for(event)
    return [(each.round_number, each.start, each.end, each.source) for each in play_windows(event, book)]


def test_a_window_is_the_last_start_and_the_usual_length(event: Event) -> None:
    """Usual length of a round of 18 holes: common practice, no source (in the rulebook)."""
    length = timedelta(minutes=rulebook_for(event).int("practice.round_minutes_18_holes.to"))
    nine, one = datetime(2026, 6, 12, 9, tzinfo=UTC), datetime(2026, 6, 12, 13, tzinfo=UTC)
    later = one + timedelta(minutes=90)
    for label, start in (("A", one), ("B", later)):
        round_ = event.rounds.get(number=2)
        Pool.objects.create(round=round_, label=label, start_type="shotgun", first_start_at=start)
    assert windows(event)[0] == (1, nine, nine + length, "plan")
    for _ in range(4):
        build.make_entry(event)
    sheet = make_draw(
        round=event.rounds.get(number=1), method=Sheet.Method.RANDOM, seed="1", actor=ACTOR, now=NOW
    )
    assert windows(event)[0] == (1, nine, nine + length, "pools")
    publish(sheet=sheet, actor=ACTOR, now=NOW)
    sheet.groups.update(starts_at=nine + timedelta(minutes=20))
    assert windows(event) == [
        (1, nine + timedelta(minutes=20), nine + timedelta(minutes=20) + length, "tee sheet"),
        (2, one, later + length, "pools"),
    ]


def test_a_window_lasts_as_long_as_the_longest_layout_of_its_round(event: Event) -> None:
    """By holes from the usual length of 18: common practice, no source."""
    start = datetime(2026, 6, 12, 9, tzinfo=UTC)
    long = build.make_layout(event, "Long", pars=(3,) * 27)
    LayoutUse.objects.filter(round__number=1, division__code="MA1").update(layout=long)
    assert windows(event)[0] == (1, start, start + timedelta(hours=6), "plan")
    LayoutUse.objects.filter(round__number=1).delete()
    assert windows(event)[0] == (1, start, start + timedelta(hours=4), "plan")


@pytest.mark.parametrize(("holes", "dark"), [(18, False), (None, False), (27, True)])
def test_a_long_layout_is_told_to_end_in_the_dark(event: Event, holes: int | None, dark: bool) -> None:
    """On the equator the sun sets at about 18:00; 27 holes from 13:00 take until 19:00."""
    event.latitude, event.longitude = 0, 0
    start = datetime(2026, 6, 12, 13, tzinfo=UTC)
    _, words = sun_over(event, [(start, holes), (start - timedelta(hours=1), 9)], rulebook_for(event))
    assert bool(words) is dark


@pytest.mark.parametrize("rounds", [1, 3])
def test_windows_cost_the_same_for_one_and_three_rounds(
    db: None, rounds: int, django_assert_num_queries: Any
) -> None:
    event = build.make_event(rounds=rounds)
    book = rulebook_for(event)
    with django_assert_num_queries(4):
        assert len(play_windows(event, book)) == rounds
