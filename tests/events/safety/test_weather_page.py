"""The weather desk: what it takes, what it shows and to whom, and that it never says that anything is safe."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
from events.log.models import Act
from events.safety.computed import CAUTIONS
from events.safety.models import Evidence, Reading, Suspension, ThresholdSet
from events.safety.readings import choose_thresholds, note_lightning, take_readings
from events.safety.waiting import WeatherWaits, weather_waits
from events.safety.weather import newest_readings, standing_of
from events.safety.weather_page import taken_together, weather_context
from events.setup.models import Event, Role

NOW = datetime(2026, 6, 12, 10, 10, tzinfo=UTC)
WHO: dict[str, Any] = {"actor": build.ACTOR, "now": NOW}
SignIn = Callable[[Role], Client]

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _ten_past_ten() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


def read(event: Event, text: str, read_at: str = "") -> None:
    take_readings(event=event, text=text, source="hand meter", read_at=read_at, **WHO)


def bolt(event: Event, typed: str = "9 mi", kind: str = "strike", seen_at: str = "") -> Evidence:
    return note_lightning(event=event, kind=kind, typed=typed, source="service", seen_at=seen_at, **WHO)


def url(event: Event, name: str = "weather") -> str:
    return reverse(f"safety:{name}", args=[event.slug])


def words(html: str) -> str:
    """The page as it is read: without tags, with single spaces."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_a_line_is_taken_and_its_source_is_remembered(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.MARSHAL)
    sent = {"text": "32 C, 60 %", "source": "hand meter", "time": "10:00"}
    answer = client.post(url(event), sent, follow=True)
    page = words(answer.content.decode())
    assert "Taken down: temperature 32 C, relative humidity 60 %." in page
    assert 'name="source" value="hand meter"' in answer.content.decode()
    assert [row.read_at for row in Reading.objects.all()] == [NOW - timedelta(minutes=10)] * 2


def test_each_figure_shows_formula_inputs_age_and_trigger(event: Event, client_as: SignIn) -> None:
    read(event, "32 C, 60 %", "09:58")
    page = words(client_as(Role.VIEWER).get(url(event)).content.decode())
    for part in (
        "WBGT, approximated 33.3 °C",
        "Trigger met: 91.9 °F is “one hour” (WBGT, US high schools): one hour at most, 20 minutes of rest within it.",
        "oldest reading 12 min old",
        "WBGT, approximation from air and humidity",
        "From temperature 32 C (hand meter, 12 min old); humidity 60 % (hand meter, 12 min old)",
        "An approximation: it takes moderately high sun and light wind for granted.",
        "Australian weather bureau, approximation of WBGT, quoted in a public document",
    ):
        assert part in page, part


def test_an_old_reading_is_said_to_be_old(event: Event, client_as: SignIn) -> None:
    read(event, "UV 2", "09:10")
    page = words(client_as(Role.VIEWER).get(url(event)).content.decode())
    assert "Old: reading 1 h 0 min old" in page
    assert "No trigger met at 10:10; the oldest reading in use is 1 h 0 min old." in page


def test_what_is_not_defined_is_said_as_that(event: Event, client_as: SignIn) -> None:
    read(event, "20 C, wind 5 m/s")
    page = words(client_as(Role.VIEWER).get(url(event)).content.decode())
    assert (
        "Wind chill not defined here: above 10 °C wind is no chill by it (oldest reading 0 min old)" in page
    )


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"text": "humidity 140", "source": "x"}, "Humidity lies between 0 and 100 %, not 140 %."),
        ({"text": "32", "source": "x"}, "32 of what? Write the unit too: 32 C, 60 %, wind 5 m/s, or UV 7."),
        (
            {"text": "32 C", "source": "x", "time": "10:11"},
            "10:11 is still to come: it is 10:10 at the venue.",
        ),
        ({"text": "32 C"}, "Say where it comes from: the instrument, the service, or who heard it."),
    ],
)
def test_bad_input_comes_back_with_a_sentence_and_what_was_typed(
    event: Event, client_as: SignIn, sent: dict[str, str], sentence: str
) -> None:
    answer = client_as(Role.DIRECTOR).post(url(event), sent)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert sentence in words(html)
    assert f">{sent['text']}</textarea>" in html
    assert not Reading.objects.exists()


def test_a_strike_of_the_future_comes_back_beside_its_own_field(event: Event, client_as: SignIn) -> None:
    sent = {"kind": "strike", "typed": "9 mi", "time": "10:30", "source": "service"}
    answer = client_as(Role.MARSHAL).post(url(event, "lightning"), sent)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert '<p class="errorlist" id="strike-problem" role="alert">10:30 is still to come' in html
    assert 'id="entry-problem"' not in html
    assert not Evidence.objects.exists()


def test_a_strike_within_the_radius_is_answered_with_the_trigger(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.MARSHAL)
    sent = {"kind": "strike", "typed": "9 mi", "time": "", "source": "service"}
    page = words(client.post(url(event, "lightning"), sent, follow=True).content.decode())
    assert (
        "Written down: strike at 14.5 km. Trigger met: strike at 9.0 miles, within 15 miles, 0 min ago"
        in page
    )
    assert "Suspend play, three blasts." in page


def test_a_strike_beyond_the_radius_is_no_trigger_and_no_all_clear(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.MARSHAL)
    sent = {"kind": "strike", "typed": "16 mi", "time": "", "source": "service"}
    page = words(client.post(url(event, "lightning"), sent, follow=True).content.decode())
    assert "It is no trigger of “This sport, and any thunder heard”." in page
    assert "nothing that counts is written down, which is no all-clear" in page


def test_what_was_taken_back_counts_no_more_and_stays_in_sight(event: Event, client_as: SignIn) -> None:
    read(event, "60 C, 40 %")
    row = Reading.objects.get(quantity="temperature")
    client = client_as(Role.MARSHAL)
    sent = {"row": row.pk, "reason": "inside the car"}
    page = words(client.post(url(event, "take_back_reading"), sent, follow=True).content.decode())
    assert "temperature 60 C taken back: inside the car , humidity 40 %" in page
    assert [each.quantity for each in newest_readings(event)] == ["humidity"]


def test_a_reading_of_another_event_is_not_found(event: Event, client_as: SignIn) -> None:
    other = build.make_event("elsewhere")
    read(other, "20 C")
    sent = {"row": Reading.objects.get().pk, "reason": "x"}
    assert client_as(Role.DIRECTOR).post(url(event, "take_back_reading"), sent).status_code == 404


def test_the_newest_is_the_one_that_was_true_last_whenever_it_was_written(event: Event) -> None:
    read(event, "30 C", "10:00")
    read(event, "20 C", "08:00")
    other = build.make_event("elsewhere")
    read(other, "10 C")
    assert [each.typed for each in newest_readings(event)] == ["30 C"]


def test_only_the_director_chooses_the_limits(event: Event, client_as: SignIn) -> None:
    sent = {"kind": "heat", "key": "later"}
    assert client_as(Role.MARSHAL).post(url(event, "limits"), sent).status_code == 403
    page = client_as(Role.DIRECTOR).post(url(event, "limits"), sent, follow=True)
    assert "The event goes by these limits from now on." in page.content.decode()
    assert ThresholdSet.objects.get().chosen == "later"
    assert standing_of(event, NOW).rules.chosen == {"heat": "later"}


@pytest.mark.parametrize("role", [Role.DESK, Role.CARD_ROOM, Role.EQUIPMENT, Role.VIEWER])
def test_who_only_looks_has_nothing_to_fill_in(event: Event, client_as: SignIn, role: Role) -> None:
    read(event, "20 C")
    client = client_as(role)
    html = client.get(url(event)).content.decode()
    assert "<textarea" not in html
    assert "take back" not in html
    for name in ("weather", "lightning", "limits", "take_back_reading", "take_back_lightning"):
        assert client.post(url(event, name), {"text": "20 C", "source": "x"}).status_code == 403


def test_the_cautions_stand_there_and_the_word_does_not(event: Event, client_as: SignIn) -> None:
    read(event, "32 C 60 % wind 5 m/s gust 9 m/s WBGT 28 C PM2.5 35 UV 7", "09:00")
    bolt(event)
    client = client_as(Role.DIRECTOR)
    for name in ("weather", "standing"):
        page = words(client.get(url(event, name)).content.decode())
        assert [caution for caution in CAUTIONS if caution not in page] == []
        assert not re.search(r"\bsafe(ly|ty)?\b", page, re.IGNORECASE)


def test_an_open_page_asks_again_and_gets_both_parts(event: Event, client_as: SignIn) -> None:
    read(event, "UV 7", "09:50")
    html = client_as(Role.VIEWER).get(url(event, "standing")).content.decode()
    assert html.lstrip().startswith('<div id="standing"')
    assert '<div id="means" hx-swap-oob="true"' in html
    assert "reading 20 min old" in words(html)


def test_the_chart_shows_the_day_with_its_playing_windows(event: Event) -> None:
    read(event, "20 C 50 % wind 3 m/s", "08:00")
    read(event, "32 C 60 %", "10:00")
    bolt(event, seen_at="10:05")
    bolt(event, "", "thunder", "10:06")
    chart = weather_context(event, NOW)["chart"]
    assert [window.label for window in chart.windows] == ["round 1", "round 2"]
    assert [row.title for row in chart.rows] == ["Heat index 37.1 °C", "WBGT 33.3 °C", "Wind 3 m/s"]
    assert [(mark.label, mark.words) for mark in chart.marks] == [
        ("T", "thunder, not counted at 10:06"),
        ("S", "strike at 14.5 km at 10:05"),
    ]


def test_yesterday_is_not_on_the_chart_and_still_the_newest(event: Event) -> None:
    take_readings(
        event=event, text="UV 7", source="x", read_at="", actor=build.ACTOR, now=NOW - timedelta(hours=11)
    )
    context = weather_context(event, NOW)
    assert context["chart"] is None
    assert [figure.age for figure in context["figures"]] == ["reading 11 h 0 min old"]


def test_readings_of_one_line_stand_in_one_row(event: Event) -> None:
    read(event, "20 C 50 %", "09:00")
    read(event, "21 C", "09:00")
    found = taken_together(Reading.objects.order_by("-read_at", "-pk"))
    assert [[each.words for each in line.readings] for line in found] == [
        ["temperature 20 C", "humidity 50 %", "temperature 21 C"]
    ]


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_the_same_for_one_and_three_readings(
    event: Event, client_as: SignIn, count: int, django_assert_num_queries: Any
) -> None:
    for minute in range(count):
        read(event, "32 C 60 % wind 5 m/s", f"09:0{minute}")
        bolt(event, seen_at=f"09:0{minute}")
        choose_thresholds(event=event, kind="heat", key="later", **WHO)
    with django_assert_num_queries(11):
        weather_context(event, NOW)
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(15):
        client.get(url(event))
    with django_assert_num_queries(9):
        client.get(url(event, "standing"))


def test_every_act_is_in_the_log(event: Event, client_as: SignIn) -> None:
    client = client_as(Role.DIRECTOR)
    client.post(url(event), {"text": "20 C", "source": "x"})
    client.post(url(event, "lightning"), {"kind": "thunder", "typed": "", "source": "x"})
    client.post(url(event, "take_back_reading"), {"row": Reading.objects.get().pk, "reason": "x"})
    client.post(url(event, "take_back_lightning"), {"row": Evidence.objects.get().pk, "reason": "x"})
    client.post(url(event, "limits"), {"kind": "lightning", "key": "sport"})
    assert list(Act.objects.order_by("number").values_list("action", flat=True)) == [
        "reading.taken",
        "lightning.seen",
        "reading.taken_back",
        "lightning.taken_back",
        "thresholds.chosen",
    ]


def test_while_play_is_suspended_nobody_is_told_to_suspend_it(event: Event, client_as: SignIn) -> None:
    bolt(event)
    book = standing_of(event, NOW).book
    assert weather_waits(event, book, NOW) == WeatherWaits("Suspend play, three blasts.", True, True, "")
    Suspension.objects.create(event=event, cause="lightning", signalled_at=NOW, by="Tester")
    assert weather_waits(event, book, NOW) == WeatherWaits("", True, True, "")
    page = words(client_as(Role.VIEWER).get(url(event)).content.decode())
    assert "Play stays suspended." in page
    assert "Play is suspended since 10:10." in page
    assert "Suspend play, three blasts." not in page
