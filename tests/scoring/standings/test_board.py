"""The public pages: what they show, when they answer that nothing is new, and what never gets out."""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
import build_cards
from events.draw.delaying import move_planned
from events.draw.models import Group, Pool
from events.entries.models import Entry
from events.safety.services import post_notice, withdraw_notice
from events.setup.models import Event
from players.models import Contact
from scoring.standings.board import live

AT_START = datetime.fromisoformat("2026-06-12T08:59:00+00:00")
PATHS = ["kiosk", "kiosk_parts", "phone", "phone_parts"]


@pytest.fixture(autouse=True)
def _at_start() -> Any:
    with time_machine.travel(AT_START, tick=False):
        yield


def get(event: Event, name: str, **query: Any) -> Any:
    return Client().get(reverse(f"board:{name}", args=[event.slug]), query)


def play(event: Event, entries: list[Entry], throws: Any = 3) -> None:
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [entries])
    build_cards.save(round_, 1, [build_cards.line(entry, throws) for entry in entries])


def polled(event: Event, name: str) -> dict[str, Any]:
    seen = live(event, AT_START)
    return {"seen": seen.revision, "until": seen.until}


@pytest.mark.parametrize("name", PATHS)
def test_everybody_may_look_and_nobody_may_write(event: Event, name: str) -> None:
    assert get(event, name).status_code == 200
    assert Client().post(reverse(f"board:{name}", args=[event.slug])).status_code == 405


def test_before_any_draw_the_board_says_when_it_begins(event: Event) -> None:
    build_cards.make_field(event, 2)
    for name in ("kiosk", "phone"):
        page = get(event, name).content.decode()
        assert "Round 1: Friday 12 June, 09:00" in page
        assert "Moravec" not in page


def test_before_any_draw_the_board_follows_a_delay(event: Event) -> None:
    """A delay moves the pools; the plan keeps what was planned."""
    build_cards.make_field(event, 2)
    round_ = event.rounds.get(number=1)
    since = round_.first_start_at - timedelta(hours=1)
    move_planned(
        event=event, since=since, by=timedelta(minutes=50), reason="fog", actor=build.ACTOR, now=since
    )
    assert "Round 1: Friday 12 June, 09:50" in get(event, "phone").content.decode()


def test_a_heading_between_divisions_has_a_cell_for_each_column_that_a_narrow_screen_leaves_out(
    event: Event,
) -> None:
    """Else it would span more columns than stand, and take their room from the names."""
    entries = [*build_cards.make_field(event, 2), build.make_entry(event, "FA1")]
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [entries])
        build_cards.save(round_, 1, [build_cards.line(entry, 3 + at) for at, entry in enumerate(entries)])
    page = get(event, "kiosk").content.decode()
    heads = re.findall(r'<tr class="of-division">(.*?)</tr>', page.split("<template")[0], re.S)
    assert len(heads) == 2
    for head in heads:
        assert head.startswith('<th scope="rowgroup" colspan="5">')  # place, player, to par, holes, run
        assert re.findall(r'<td class="(\w+)">', head) == ["total", "round", "round"]
    assert page.split("<tbody")[0].count('<th scope="col"') == 8


def test_a_published_sheet_shows_when_each_starts(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 2)])
    page = get(event, "kiosk").content.decode()
    assert '<td class="words" colspan="2">starts 09:00</td>' in page
    assert "Round 1, pool A: shotgun, 1 group" in page


def test_a_saved_card_is_on_the_board_at_the_next_question(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    play(event, [one, two])
    before = polled(event, "kiosk_parts")
    assert get(event, "kiosk_parts", **before).status_code == 204
    build_cards.save(event.rounds.get(number=1), 1, [build_cards.line(two, 2)], base=1)
    answer = get(event, "kiosk_parts", **before)
    assert answer.status_code == 200
    assert "−24" in answer.content.decode()


@pytest.mark.parametrize("name", ["kiosk_parts", "phone_parts"])
@pytest.mark.parametrize(
    ("query", "status"),
    [
        ({}, 200),
        ({"seen": "x", "until": "1"}, 200),
        ({"seen": "-1", "until": "1"}, 200),
        ({"seen": "²", "until": "1"}, 200),
        ({"seen": "9" * 5000, "until": "1"}, 200),
    ],
)
def test_a_strange_question_gets_the_whole_answer(
    event: Event, name: str, query: dict[str, str], status: int
) -> None:
    assert get(event, name, **query).status_code == status


def test_nothing_new_is_known_before_anything_is_read(event: Event, django_assert_num_queries: Any) -> None:
    play(event, build_cards.make_field(event, 3))
    query = polled(event, "kiosk_parts")
    with django_assert_num_queries(1):  # the length of the log
        answer = get(event, "kiosk_parts", **query)
    assert (answer.status_code, answer.content) == (204, b"")
    assert answer["As-Of"] == "2026-06-12T08:59:00+00:00"


def test_a_start_that_is_called_makes_the_page_old(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 2)])
    query = polled(event, "kiosk_parts")
    assert get(event, "kiosk_parts", **query).status_code == 204
    with time_machine.travel(AT_START + timedelta(minutes=1, seconds=2), tick=False):
        answer = get(event, "kiosk_parts", **query)
    assert answer.status_code == 200
    assert "shotgun" not in answer.content.decode()


def test_a_notice_comes_and_goes_by_itself(event: Event) -> None:
    play(event, build_cards.make_field(event, 1))
    facts = {"event": event, "actor": build.ACTOR, "now": AT_START}
    post_notice(kind="hazard", title="Wasps", text="Hole 7", until=AT_START + timedelta(minutes=5), **facts)
    down = post_notice(kind="news", title="Lunch", text="", until=None, **facts)
    withdraw_notice(notice=down, actor=build.ACTOR, now=AT_START)
    for name in ("kiosk_parts", "stop", "phone"):
        page = get(event, name).content.decode()
        assert "Wasps" in page
        assert "Local authorities and emergency services come first." in page
        assert "Withdrawn 08:59" in page
    assert get(event, "phone", q="nobody").content.decode().count("Wasps") == 1
    query = polled(event, "kiosk_parts")
    with time_machine.travel(AT_START + timedelta(minutes=6), tick=False):
        answer = get(event, "kiosk_parts", **query)
        assert answer.status_code == 200
        assert "Wasps" not in answer.content.decode()


def test_a_part_is_made_once_for_all_who_ask(event: Event, django_assert_num_queries: Any) -> None:
    play(event, build_cards.make_field(event, 2))
    first = get(event, "phone_parts").content
    with django_assert_num_queries(2):  # the event, the end of its log
        assert get(event, "phone_parts").content == first


@pytest.mark.parametrize(("name", "query"), [("kiosk", {"page": "2"}), ("phone", {"q": "a"})])
def test_whoever_asks_on_and_on_costs_two_queries_each_until_something_is_written(
    event: Event, django_assert_num_queries: Any, name: str, query: dict[str, str]
) -> None:
    field = build_cards.make_field(event, 2)
    play(event, field)
    get(event, "kiosk")
    with django_assert_num_queries(2):  # the event, the end of its log
        first = get(event, name, **query).content
    round_ = event.rounds.get(number=1)
    build_cards.save(round_, 1, [build_cards.line(entry, 5) for entry in field], base=1)
    assert get(event, name, **query).content != first


@pytest.mark.parametrize("players", [1, 3])
@pytest.mark.parametrize(
    ("name", "queries"), [("kiosk", 20), ("kiosk_parts", 20), ("phone", 20), ("phone_parts", 20)]
)
def test_pages_take_the_same_queries_for_any_field(
    event: Event, django_assert_num_queries: Any, players: int, name: str, queries: int
) -> None:
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[entry] for entry in build_cards.make_field(event, players)])
    Pool.objects.update(start_type="tee_times")
    for number in range(1, players + 1):
        entry = Entry.objects.get(seats__group__number=number)
        build_cards.save(round_, number, [build_cards.line(entry, 3)])
        post_notice(
            event=event, kind="news", title=f"n{number}", text="", until=None, actor=build.ACTOR, now=AT_START
        )
    # event; end of the log; length of the log, 12 of the standings, 2 of the starts, 2 of what is told, 1 stop
    with django_assert_num_queries(queries):
        assert get(event, name).status_code == 200


LEAKS = {
    "email": "secret-mail@leak.example",
    "phone": "555-0471",
    "emergency_name": "Secretkin Leakname",
    "emergency_phone": "555-0472",
}


@pytest.mark.parametrize("name", PATHS)
@pytest.mark.parametrize("show_town", [True, False])
def test_nothing_personal_gets_out(event: Event, name: str, show_town: bool) -> None:
    event.show_town = show_town
    event.save()
    person = build.make_person(
        "Moravec",
        "Ludvik",
        member_number=70471,
        birth_year=1971,
        rating=947,
        town="Tarn Edge",
        club="Leak Club",
    )
    Contact.objects.create(person=person, **LEAKS)
    entry = build.make_entry(
        event, person=person, guardian="Secret Guardian", note="secret note", code="LEAKCODE"
    )
    play(event, [entry])
    Pool.objects.update(start_type="tee_times")
    page = get(event, name).content.decode()
    assert "Ludvik Moravec" in page
    assert ("Tarn Edge" in page) is show_town
    secrets = [
        *LEAKS.values(),
        "70471",
        "1971",
        "947",
        "Leak Club",
        "Secret Guardian",
        "secret note",
        "LEAKCODE",
    ]
    assert [secret for secret in secrets if secret in page] == []


def test_who_left_is_not_called_to_the_tee(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    build_cards.publish(event.rounds.get(number=1), [[one, two]])
    Pool.objects.update(start_type="tee_times")
    two.status = "withdrawn"
    two.save()
    assert [start.text for start in live(event, AT_START).starts] == ["Moravec"]


def test_starts_from_several_holes_name_the_hole_and_another_day(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    build_cards.publish(event.rounds.get(number=1), [[one], [two]], starts=[1, 10])
    Pool.objects.update(start_type="tee_times")
    Group.objects.filter(number=2).update(starts_at=AT_START + timedelta(days=1))
    seen = live(event, AT_START)
    assert seen.heading == "Next starts"
    assert [(start.clock, start.day, start.text) for start in seen.starts] == [
        ("09:00", "", "Hole 1: Moravec"),
        ("08:59", "Saturday", "Hole 10: Oyelaran"),
    ]


def test_without_scripts_the_kiosk_goes_on_page_by_page(event: Event) -> None:
    play(event, [*build_cards.make_field(event, 12), build.make_entry(event, "FA1")])
    first, second = (get(event, "kiosk", page=number).content.decode() for number in (1, 2))
    assert 'content="20;url=?page=2"' in first
    assert 'content="20;url=?page=3"' in second
    assert "page 1 of 2 · FA1 next" in first.split("<template")[0]
    assert "page 2 of 2 · MA1 next" in second.split("<template")[0]
    third = get(event, "kiosk", page=3).content.decode()
    assert "page 1 of 2 · FA1 next" in third.split("<template")[0]
    assert get(event, "kiosk", page="x").status_code == 200


@pytest.mark.parametrize(
    ("q", "found"), [("mor", ["Ludvik Moravec"]), ("LIO", ["Lio Cardew"]), ("zzz", []), ("évar", [])]
)
def test_a_name_is_found_without_scripts(event: Event, q: str, found: list[str]) -> None:
    entries = build_cards.make_field(event, 12)
    play(event, entries)
    page = get(event, "phone", q=q).content.decode()
    assert [entry.person.name for entry in entries if f"<bdi>{entry.person.name}</bdi>" in page] == found
    nobody = page.split('id="nobody"')[0].count("Nobody of this name.")
    assert nobody == (0 if found else 1)


def test_what_is_searched_for_is_no_code(event: Event) -> None:
    page = get(event, "phone", q='"><script>alert(1)</script>').content.decode()
    assert "<script>alert" not in page
