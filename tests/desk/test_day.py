"""The day page at each moment of an event: what needs somebody, and where it leads."""

from datetime import datetime, timedelta

import pytest
from django.urls import reverse

import build
from build import ACTOR, NOW
from desk.day import Day, day_of
from desk.day_rounds import RoundState, due_of, rounds_of
from events.course.models import LayoutUse
from events.draw.models import Sheet
from events.draw.services import make_draw, publish
from events.entries.services import check_in
from events.safety.readings import note_lightning, take_readings
from events.setup.models import Event, Role
from events.setup.queries import rulebook_for
from scoring.cards.services import mark_finished

pytestmark = pytest.mark.django_db


def texts(day: Day) -> list[str]:
    return [line.text for line in day.todo]


def draw_round(event: Event, number: int = 1) -> None:
    sheet = make_draw(
        round=event.rounds.get(number=number), method=Sheet.Method.RANDOM, seed="1", actor=ACTOR, now=NOW
    )
    publish(sheet=sheet, actor=ACTOR, now=NOW)


def test_an_empty_event_asks_for_its_plan(db):
    event = build.make_event(divisions=(), rounds=0)
    day = day_of(event, NOW)
    assert day.headline == "Plan the event"
    assert texts(day)[:2] == ["No division is offered yet", "No round is planned yet"]


def test_a_division_without_a_layout_is_named(event):
    LayoutUse.objects.filter(round__number=2, division__code="FA1").delete()
    assert "Round 2: no layout for FA1" in texts(day_of(event, NOW))


def test_check_in_counts_down_and_then_says_it_is_closed(event):
    event.checkin_opens_at, event.checkin_closes_at = NOW, NOW + timedelta(minutes=75)
    event.save()
    first, _ = build.make_entry(event), build.make_entry(event)
    check_in(entry=first, actor=ACTOR, now=NOW)
    (line,) = [found for found in day_of(event, NOW).todo if "checked in" in found.text]
    assert (line.text, line.when, line.until) == (
        "1 of 2 not checked in",
        "closes 08:15",
        event.checkin_closes_at,
    )
    late = day_of(event, NOW + timedelta(hours=2))
    assert "1 of 2 not checked in, and check-in is closed" in texts(late)


def test_the_next_round_waits_for_the_cards_of_the_one_before(event):
    for _ in range(4):
        build.make_entry(event)
    assert "Draw round 1" in texts(day_of(event, NOW))
    draw_round(event)
    during = day_of(event, NOW + timedelta(hours=3))
    assert during.headline == "Round 1: 0 of 1 cards in"
    assert "Draw round 2" not in texts(during)
    assert "Round 1: 1 of 1 cards out" in texts(during)


def test_a_finished_group_starts_the_clock_of_its_card(event):
    for _ in range(4):
        build.make_entry(event)
    draw_round(event)
    finished = datetime.fromisoformat("2026-06-12T11:40:00+00:00")
    mark_finished(round=event.rounds.get(number=1), group_number=1, at=finished, actor=ACTOR, now=finished)
    (line,) = [found for found in day_of(event, finished).todo if "card out" in found.text]
    assert (line.text, line.when) == ("Round 1, group 1: card out", "due 12:10")
    (line,) = [
        found for found in day_of(event, finished + timedelta(minutes=31)).todo if "card out" in found.text
    ]
    assert line.text == "Round 1, group 1: card out late"


def test_tee_times_are_due_twelve_hours_before_the_first(event):
    """Competition Manual 2025, 1.06.K: the later of 12 h before the first tee time and 1 h after the round before."""
    event.rounds.update(start_type="tee_times")
    round_ = event.rounds.get(number=1)
    state = RoundState(round_, {}, (round_.first_start_at, round_.first_start_at), timedelta(hours=4))
    assert due_of(state, None, rulebook_for(event)) == round_.first_start_at - timedelta(hours=12)


@pytest.mark.parametrize("role", list(Role))
def test_every_role_sees_the_same_page(event, client_as, role):
    build.make_entry(event)
    answer = client_as(role).get(reverse("day", args=[event.slug]))
    assert answer.status_code == 200
    assert "Draw round 1" in answer.content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_the_same_for_one_and_three_groups(event, count, django_assert_num_queries):
    for _ in range(4 * count):
        build.make_entry(event)
    draw_round(event)
    with django_assert_num_queries(49):
        day_of(Event.objects.get(pk=event.pk), NOW)


def test_whoever_comes_after_publishing_is_named_until_they_have_a_group(event):
    for _ in range(4):
        build.make_entry(event)
    draw_round(event)
    late = build.make_entry(event, person=build.make_person("Oxnam", "Niko"))
    check_in(entry=late, actor=ACTOR, now=NOW)
    (line,) = [found for found in day_of(event, NOW).todo if "no group" in found.text]
    assert line.text == "Niko Oxnam is checked in, but in no group of round 1"
    assert line.url == f"{reverse('draw:overview', args=[event.slug])}?round=1"


def test_weather_is_first_when_a_limit_speaks_of_stopping_and_old_readings_are_named_during_play(event):
    for _ in range(4):
        build.make_entry(event)
    draw_round(event)
    ten = datetime.fromisoformat("2026-06-12T10:00:00+00:00")
    who = {"event": event, "source": "hand meter", "actor": ACTOR}
    take_readings(**who, text="UV 7, wind 3 m/s", read_at="", now=ten)
    url = reverse("safety:weather", args=[event.slug])
    (line,) = [found for found in day_of(event, ten).todo if found.text.startswith("Weather")]
    assert (line.text, line.url, line.needs) == (
        "Weather, trigger met: Hat, shirt, sunscreen, shade at the waits.",
        url,
        False,
    )
    assert [text for text in texts(day_of(event, ten)) if "Old weather" in text] == []
    later = ten + timedelta(minutes=60)
    assert "Old weather reading, read it again: Wind, UV index" in texts(day_of(event, later))
    note_lightning(**who, kind="thunder", typed="", seen_at="", now=later)
    assert texts(day_of(event, later))[0] == "Lightning, trigger met: Suspend play, three blasts."


def test_an_old_reading_asks_nothing_while_nobody_plays(event):
    take_readings(event=event, source="hand meter", text="UV 2", read_at="", actor=ACTOR, now=NOW)
    assert [
        text for text in texts(day_of(event, NOW + timedelta(hours=2))) if "weather" in text.lower()
    ] == []


def test_a_round_lasts_as_long_as_its_holes(event):
    """Common practice, no source: 18 holes in four hours, so 9 holes in two."""
    round_ = event.rounds.get(number=1)
    LayoutUse.objects.filter(round=round_).update(layout=build.make_layout(event, "Short", pars=(3,) * 9))
    state = rounds_of(event, rulebook_for(event))[0]
    assert state.ends - state.starts[1] == timedelta(hours=2)
