"""What is offered to other programs, read by other people's readers of the same standards."""

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from openapi_spec_validator import OpenAPIV31SpecValidator

import build
import build_cards
from events.calendars import Start, calendar, folded
from events.draw.models import Group
from events.safety.models import Completion
from events.setup.models import Event
from scoring.standings.models import Cut

MOMENT = datetime(2026, 6, 12, 9, 10, tzinfo=UTC)


def read(text: str) -> list[Any]:
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


def feed(event: Event, path: str) -> list[Any]:
    answer = Client().get(f"/board/{event.slug}/{path}")
    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    return read(answer.content.decode())


def start(**facts: Any) -> Start:
    given_facts = {
        "uid": "a", "sequence": 1, "stamp": MOMENT, "when": MOMENT, "summary": "s", "location": "", "description": "",
        "url": "http://x/",
    }  # fmt: skip
    return Start(**given_facts | facts)


def test_the_description_is_a_valid_openapi_document(event: Event) -> None:
    """OpenAPI Specification 3.1.0, by the validator of the same name."""
    document = json.loads(Client().get(f"/board/{event.slug}/openapi.json").content)
    assert document["openapi"].startswith("3.1.")
    assert list(OpenAPIV31SpecValidator(document).iter_errors()) == []


@given(st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"])))
def test_any_text_is_read_back_as_it_was_written(text: str) -> None:
    """RFC 5545, 3.1 (folding) and 3.3.11 (escaping)."""
    (found,) = read(calendar("c", [start(summary=text)]))
    assert str(found["SUMMARY"]) == text


@given(st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=400))
def test_no_line_is_longer_than_75_octets(text: str) -> None:
    """RFC 5545, 3.1."""
    assert all(len(line.encode()) <= 75 for line in folded(f"SUMMARY:{text}").split("\r\n"))


def test_lines_end_in_cr_lf() -> None:
    """RFC 5545, 3.1."""
    text = calendar("c", [start(description="two\nlines")])
    assert text.endswith("END:VCALENDAR\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert str(read(text)[0]["DESCRIPTION"]) == "two\nlines"


def test_times_are_moments_and_days_are_days() -> None:
    """RFC 5545, 3.3.4 and 3.3.5 (form 2, UTC); the end of a whole day is the day after (3.6.1)."""
    local = MOMENT.astimezone(datetime.strptime("+0530", "%z").tzinfo)
    timed, day = read(calendar("c", [start(when=local), start(when=date(2026, 6, 13))]))
    assert timed.decoded("DTSTART") == MOMENT
    assert "DTEND" not in timed
    assert (day.decoded("DTSTART"), day.decoded("DTEND")) == (date(2026, 6, 13), date(2026, 6, 14))


def test_what_must_be_there_is_there(event: Event) -> None:
    """RFC 5545, 3.6 and 3.6.1: PRODID, VERSION, UID and DTSTAMP, and at least one component."""
    calendar_read = icalendar.Calendar.from_ical(
        Client().get(f"/board/{event.slug}/round-1.ics").content.decode()
    )
    assert {"PRODID", "VERSION"} <= set(calendar_read)
    found = calendar_read.walk("VEVENT")
    assert [{"UID", "DTSTAMP", "DTSTART"} <= set(each) for each in found] == [True]


def test_a_round_has_one_event_for_each_group(event: Event) -> None:
    entries = build_cards.make_field(event, 3)
    build_cards.publish(event.rounds.get(number=1), [entries[:2], entries[2:]], starts=[1, 10])
    Group.objects.filter(number=2).update(starts_at=MOMENT)
    found = feed(event, "round-1.ics")
    assert [str(each["SUMMARY"]) for each in found] == [
        "Group 1, hole 1: Ludvik Moravec, Hale Oyelaran",
        "Group 2, hole 10: Dov Pennock",
    ]
    assert [each.decoded("DTSTART") for each in found] == [datetime(2026, 6, 12, 9, tzinfo=UTC), MOMENT]


def test_a_draft_is_nobodys_tee_time_and_the_day_stands_for_it(event: Event) -> None:
    entry = build.make_entry(event)
    days = feed(event, f"player/{entry.pk}.ics")
    assert [each.decoded("DTSTART") for each in days] == [date(2026, 6, 12), date(2026, 6, 12)]
    assert "Player" not in "".join(str(each["SUMMARY"]) for each in days)
    sheet = build_cards.publish(event.rounds.get(number=1), [[entry]])
    sheet.state = "draft"
    sheet.save()
    assert [each.decoded("DTSTART") for each in feed(event, f"player/{entry.pk}.ics")] == [
        date(2026, 6, 12)
    ] * 2


def test_a_moved_sheet_takes_the_place_of_the_one_before(event: Event) -> None:
    """RFC 5545, 3.8.7.4 and 3.8.4.7: the same UID with a higher SEQUENCE."""
    entry, other = build_cards.make_field(event, 2)
    day = feed(event, f"player/{entry.pk}.ics")[0]
    build_cards.publish(event.rounds.get(number=1), [[entry, other]])
    first = feed(event, f"player/{entry.pk}.ics")[0]
    build_cards.publish(event.rounds.get(number=1), [[other], [entry]])
    Group.objects.filter(sheet__version=2).update(starts_at=MOMENT + timedelta(hours=1))
    moved, ahead = feed(event, f"player/{entry.pk}.ics")
    assert [str(each["UID"]) for each in (day, first, moved)] == [str(day["UID"])] * 3
    assert [each["SEQUENCE"] for each in (day, first, moved)] == [0, 1, 2]
    assert moved.decoded("DTSTART") == MOMENT + timedelta(hours=1)
    assert "Hale Oyelaran" not in str(moved["DESCRIPTION"])
    assert ahead.decoded("DTSTART") == date(2026, 6, 12)


def test_who_withdrew_finds_the_start_cancelled(event: Event) -> None:
    """RFC 5545, 3.8.1.11."""
    entry, other = build_cards.make_field(event, 2)
    build_cards.publish(event.rounds.get(number=1), [[entry, other]])
    entry.status = "withdrawn"
    entry.save()
    (found,) = feed(event, f"player/{entry.pk}.ics")
    assert str(found["STATUS"]) == "CANCELLED"
    assert "Moravec" not in str(feed(event, "round-1.ics")[0]["SUMMARY"])


def test_who_was_disqualified_keeps_the_round_that_was_begun_alone(event: Event) -> None:
    entry, other = build_cards.make_field(event, 2)
    first, second = event.rounds.order_by("number")
    for round_ in (first, second):
        build_cards.publish(round_, [[entry, other]])
    build_cards.save(first, 1, [build_cards.line(entry, 3), build_cards.line(other, 3)])
    entry.status, entry.left_reason = "disqualified", "made up a score"
    entry.save()
    played, out = feed(event, f"player/{entry.pk}.ics")
    assert (played.get("STATUS"), out.get("STATUS")) == ("CONFIRMED", "CANCELLED")
    assert "Moravec" not in str(feed(event, "round-2.ics")[0]["SUMMARY"])


def test_who_missed_the_cut_has_no_final(event: Event) -> None:
    one, two, three = build_cards.make_field(event, 3)
    first = event.rounds.get(number=1)
    build_cards.publish(first, [[one, two, three]])
    build_cards.save(first, 1, [build_cards.line(each, 2 + at) for at, each in enumerate((one, two, three))])
    Cut.objects.create(division=one.division, after_round=1, players=2, set_at=build.NOW, set_by="Tester")
    assert [len(feed(event, f"player/{entry.pk}.ics")) for entry in (one, two, three)] == [2, 2, 1]


def test_after_the_last_finished_round_no_day_is_kept_free(event: Event) -> None:
    entry = build.make_entry(event)
    Completion.objects.create(
        event=event, round=event.rounds.get(number=2), division=entry.division, option="last_round",
        approval="tour manager, by phone", at=build.NOW, by="director",
    )  # fmt: skip
    assert len(feed(event, f"player/{entry.pk}.ics")) == 1


def test_nobody_else_has_a_feed(event: Event) -> None:
    elsewhere = build.make_entry(build.make_event("elsewhere"))
    waiting = build.make_entry(event, status="waitlisted")
    for path in (
        f"player/{elsewhere.pk}.ics",
        f"player/{waiting.pk}.ics",
        "player/99999999.ics",
        "round-9.ics",
    ):
        assert Client().get(f"/board/{event.slug}/{path}").status_code == 404


@pytest.mark.parametrize("players", [1, 3])
def test_feeds_take_the_same_queries_for_any_field(
    event: Event, django_assert_num_queries: Any, players: int
) -> None:
    entries = build_cards.make_field(event, players)
    build_cards.publish(event.rounds.get(number=1), [entries])
    with django_assert_num_queries(5):  # event, round, groups, seats, scores
        feed(event, "round-1.ics")
    with django_assert_num_queries(8):  # event, entry, groups, seats, scores, rounds, choices, cuts
        feed(event, f"player/{entries[0].pk}.ics")
