"""The page, the paper and the calendar of the countdown, and who may open them."""

from datetime import time, timedelta
from typing import Any

import icalendar
import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
import pdf_pages
from events.logistics.countdown.feed import calendar_of
from events.logistics.countdown.links import feed_path
from events.logistics.countdown.models import CalendarFeed, DutyMark, Task
from events.logistics.countdown.services import TaskFacts, add_task, mark, open_feed
from events.setup.models import Event, Role
from players.models import Contact

BEFORE = build.NOW - timedelta(days=20)
FIELDS = {"what": "Ask the ferry", "days": "14", "start": "first_day", "due_on": "", "owner": "", "slips": ""}


def client_of(event: Event, role: Role) -> Client:
    client = Client()
    client.force_login(build.make_user(event, role))
    return client


def page(event: Event, name: str = "overview", *args: Any) -> str:
    return reverse(f"countdown:{name}", args=[event.slug, *args])


@pytest.fixture
def desk(event: Event) -> Client:
    return client_of(event, Role.DESK)


def feed(event: Event, owner: str = "") -> CalendarFeed:
    return open_feed(event=event, owner=owner, actor=build.ACTOR, now=BEFORE)


def read(text: str) -> dict[str, Any]:
    """The calendar's entries by the end of their UID, read by other people's program."""
    entries = icalendar.Calendar.from_ical(text).walk("VEVENT")
    return {str(entry["UID"]).partition("-countdown-")[2].partition("@")[0]: entry for entry in entries}


@time_machine.travel(BEFORE, tick=False)
def test_the_page_shows_date_owner_source_and_what_follows(event: Event, desk: Client) -> None:
    text = desk.get(page(event)).content.decode()

    for words in ("Late", "Within 7 days", "Later", "Without a date"):
        assert f"<h2>{words}</h2>" in text
    assert "Competition Manual 2025, 1.04.D" in text
    assert "Thu 28 May 2026" in text  # 15 days before the event
    assert "<b>If it slips:</b>" in text


def test_done_undo_and_a_refusal(event: Event, desk: Client) -> None:
    with time_machine.travel(BEFORE, tick=False):
        answer = desk.post(page(event, "mark"), {"key": "report", "state": "done"}, follow=True)
        assert "Send in the report: done." in answer.content.decode()
        answer = desk.post(
            page(event, "mark"), {"key": "cut", "state": "not_needed", "reason": ""}, follow=True
        )
        assert "Say why it is not needed." in answer.content.decode()
        desk.post(page(event, "mark"), {"key": "report", "state": "open"})
        desk.post(page(event, "owner"), {"key": "report", "owner": "Ondine"})

    assert list(DutyMark.objects.values_list("key", "state", "owner")) == [("report", "open", "Ondine")]


def test_an_own_task_by_the_form(event: Event, desk: Client) -> None:
    desk.post(page(event, "add"), FIELDS)
    task = Task.objects.get()
    assert (task.what, task.start, task.days, task.due_on) == ("Ask the ferry", "first_day", 14, None)

    desk.post(page(event, "task", task.pk), {**FIELDS, "what": "Ask both", "version": "1"})
    desk.post(page(event, "drop", task.pk))
    task.refresh_from_db()
    assert (task.what, task.version, task.dropped_at is None) == ("Ask both", 2, False)
    desk.post(page(event, "take_back", task.pk))
    assert Task.objects.get().dropped_at is None


def test_what_was_typed_is_not_lost(event: Event, desk: Client) -> None:
    answer = desk.post(page(event, "add"), {**FIELDS, "due_on": "2026-06-01"})

    assert answer.status_code == 422
    assert "Give a day, or a number of days before or after the event; not both." in answer.content.decode()
    assert 'value="Ask the ferry"' in answer.content.decode()


def test_a_stale_change_is_refused(event: Event, desk: Client) -> None:
    task = add_task(event=event, facts=TaskFacts("Ask"), actor=build.ACTOR, now=BEFORE)
    answer = desk.post(page(event, "task", task.pk), {**FIELDS, "version": "7"})

    assert answer.status_code == 422
    assert "Somebody else changed this task meanwhile" in answer.content.decode()


@pytest.mark.parametrize(
    ("role", "reads", "writes"),
    [
        (Role.DIRECTOR, 200, 302),
        (Role.DESK, 200, 302),
        (Role.CARD_ROOM, 200, 403),
        (Role.MARSHAL, 200, 403),
        (Role.VIEWER, 403, 403),
    ],
)
def test_roles(event: Event, role: Role, reads: int, writes: int) -> None:
    client = client_of(event, role)
    feed(event)
    answer = client.get(page(event))

    assert answer.status_code == client.get(page(event, "paper")).status_code == reads
    assert client.post(page(event, "mark"), {"key": "report", "state": "done"}).status_code == writes
    # The address of the calendar is shown to those who may close it.
    assert (b'class="address"' in answer.content) is (writes == 302)


def test_the_paper_lists_what_is_open(event: Event, desk: Client) -> None:
    mark(event=event, keys=["report"], state="done", reason="", actor=build.ACTOR, now=BEFORE)
    with time_machine.travel(BEFORE, tick=False):
        sheets = pdf_pages.read(desk.get(page(event, "paper")).content)
    text = " ".join(sheet.text for sheet in sheets)
    assert [
        found for sheet in sheets for found in (*pdf_pages.collisions(sheet), *pdf_pages.strays(sheet))
    ] == []

    assert "Hand in the agreement for the event" in text
    assert "1.04.D" in text
    assert "Send in the report" not in text


@time_machine.travel(BEFORE, tick=False)
def test_the_calendar_is_read_at_its_address_until_it_is_closed(event: Event, desk: Client) -> None:
    """RFC 5545, read with icalendar."""
    one = feed(event)
    answer = Client().get(feed_path(one))
    entries = read(answer.content.decode())

    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert entries["unclaimed"].decoded("DTSTART") == (event.ends_on + timedelta(days=30))
    assert entries["course_rules"].decoded("DTSTART") == event.at(event.starts_on, time(9))
    desk.post(page(event, "close_feed", one.pk))
    assert Client().get(feed_path(one)).status_code == 404


def test_a_changed_address_opens_nothing(event: Event) -> None:
    path = feed_path(feed(event))
    token = path.rstrip("/").rpartition("/")[2]

    assert Client().get(f"/countdown/{token[:-1]}{'a' if token[-1] != 'a' else 'b'}/").status_code == 404
    assert Client().get(f"/countdown/{token.partition('~')[0]}/").status_code == 404


def test_a_new_address_closes_the_one_before_for_the_same_owner_only(event: Event) -> None:
    first, hers, second = feed(event), feed(event, "Ondine"), feed(event)

    answers = [Client().get(feed_path(each)).status_code for each in (first, hers, second)]
    assert answers == [404, 200, 200]


def test_an_owner_reads_what_is_theirs_and_what_is_done_is_gone(event: Event) -> None:
    add_task(
        event=event, facts=TaskFacts("Ask", "first_day", 3, owner="Ondine"), actor=build.ACTOR, now=BEFORE
    )
    hers = feed(event, "Ondine")
    assert set(read(calendar_of(hers, BEFORE))) == {"own-1", "event", "round-1", "round-2"}

    mark(event=event, keys=["own/1"], state="done", reason="", actor=build.ACTOR, now=BEFORE)
    assert set(read(calendar_of(hers, BEFORE))) == {"event", "round-1", "round-2"}


def test_a_moved_event_moves_the_calendar_with_a_higher_sequence(event: Event) -> None:
    every = feed(event)
    before = read(calendar_of(every, BEFORE))
    event.starts_on += timedelta(days=7)
    event.ends_on += timedelta(days=7)
    event.save()
    mark(event=event, keys=["cut"], state="done", reason="", actor=build.ACTOR, now=BEFORE)
    every.refresh_from_db()
    after = read(calendar_of(CalendarFeed.objects.get(), BEFORE))

    assert after["unclaimed"].decoded("DTSTART") - before["unclaimed"].decoded("DTSTART") == timedelta(days=7)
    assert int(after["unclaimed"]["SEQUENCE"]) > int(before["unclaimed"]["SEQUENCE"])


def test_nothing_personal_is_in_the_calendar(event: Event) -> None:
    """With data that could leak: contacts of an entrant who stands on the tee sheet."""
    person = build.make_person("Secretson", "Minor", birth_year=2016)
    Contact.objects.create(
        person=person, email="hidden@example.org", phone="+47 555 99 888", emergency_name="Guardian Hidden"
    )
    build.make_entry(event, person=person, guardian="Guardian Hidden")
    text = Client().get(feed_path(feed(event))).content.decode()

    for word in ("Secretson", "hidden@example.org", "555", "Guardian"):
        assert word not in text


@pytest.mark.parametrize("tasks", [1, 3])
def test_the_calendar_costs_fourteen_queries(
    event: Event, django_assert_num_queries: Any, tasks: int
) -> None:
    for number in range(tasks):
        add_task(event=event, facts=TaskFacts(f"t{number}"), actor=build.ACTOR, now=BEFORE)
    path = feed_path(feed(event))
    with django_assert_num_queries(14):
        assert Client().get(path).status_code == 200
