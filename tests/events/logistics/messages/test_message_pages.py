"""The page of the messages: composed from the event, taken away as a file, addresses only for the desk."""

import re
from datetime import timedelta
from email import message_from_bytes
from email.policy import SMTP
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

import build
from events.draw.models import Pool, Sheet
from events.draw.moving import publish_moved
from events.draw.services import make_draw, publish
from events.entries.models import Status
from events.log.models import Act
from events.logistics.messages.composing import Kind
from events.logistics.messages.models import MessageWords
from events.logistics.messages.queries import facts_for
from events.logistics.messages.services import MessageRefused, addressed_mail, choose_words
from events.logistics.running.delaying import delay_day
from events.safety.models import Suspension
from events.setup.models import Event, Role, Round
from players.models import Contact

NOW = build.NOW + timedelta(hours=5)
TYPED = {"subject": "Check-in", "text": "Hello,\r\nas I typed it."}


def client_of(event: Event, role: Role) -> Client:
    client = Client()
    client.force_login(build.make_user(event, role))
    return client


def page(event: Event, name: str = "overview") -> str:
    return reverse(f"event_messages:{name}", args=[event.slug])


def reachable_entry(event: Event, mail: str, **facts: Any) -> None:
    entry = build.make_entry(event, **facts)
    Contact.objects.create(person=entry.person, email=mail, phone="+47 555 99 888", emergency_name="Hidden")


def published(event: Event) -> Round:
    round_ = event.rounds.get(number=1)
    for _ in range(4):
        build.make_entry(event)
    pool = Pool.objects.create(
        round=round_, label="A", start_type="shotgun", first_start_at=round_.first_start_at
    )
    pool.divisions.set(event.divisions.all())
    sheet = make_draw(round=round_, method="random", seed="1", actor=build.ACTOR, now=build.NOW)
    publish(sheet=sheet, actor=build.ACTOR, now=build.NOW)
    return round_


def moved(round_: Round, minutes: int, now: Any) -> None:
    groups = round_.sheets.get(state=Sheet.State.PUBLISHED).groups.all()
    starts = {group.number: group.starts_at + timedelta(minutes=minutes) for group in groups}
    publish_moved(round=round_, starts=starts, notes=[], reason="fog", actor=build.ACTOR, now=now)


def test_the_page_composes_each_kind(event: Event) -> None:
    published(event)
    client = client_of(event, Role.DESK)
    texts = {kind: client.get(page(event), {"kind": kind}).content.decode() for kind in Kind}

    assert "Check-in for Quiet Pines Open" in texts[Kind.CHECK_IN]
    assert re.search(r"09:00  hole \d+  group 1: Player\d+ Halvorsen \(MA1\), ", texts[Kind.TEE_TIMES])
    assert "Thank you for playing. Players: 4. Rounds: 1." in texts[Kind.THANKS]
    assert "no start has moved" in texts[Kind.DELAY]


def test_the_languages_and_the_signature_are_kept(event: Event) -> None:
    client = client_of(event, Role.DESK)
    client.post(page(event, "words"), {"languages": ["en", "de"], "sign": "Ondine"})
    text = client.get(page(event)).content.decode()

    assert "Ondine, for Quiet Pines Open" in text
    assert "Ondine, für Quiet Pines Open" in text
    assert client.post(page(event, "words"), {"sign": "Ondine"}).status_code == 422


@pytest.mark.parametrize("tags", [[], ["xx"]])
def test_words_that_are_not_held_are_refused(event: Event, tags: list[str]) -> None:
    with pytest.raises(MessageRefused):
        choose_words(event=event, tags=tags, sign="", actor=build.ACTOR, now=NOW)
    assert not MessageWords.objects.exists()


def test_the_delay_tells_of_the_last_stop_and_the_moved_starts(event: Event) -> None:
    round_ = published(event)
    moved(round_, 50, NOW)
    Suspension.objects.create(
        event=event,
        cause="wind",
        signalled_at=NOW - timedelta(minutes=50),
        by="x",
        ended="resumed",
        ended_at=NOW,
    )
    facts = facts_for(event, Kind.DELAY, round_, "", NOW)

    assert facts.stop is not None
    assert (facts.stop.cause, facts.stop.ended) == ("wind", "resumed")
    (change,) = facts.moved
    assert {(move.starts_at - move.before) for move in change.moves} == {timedelta(minutes=50)}


def test_a_delay_that_was_typed_is_told_before_any_sheet_is_out(event: Event) -> None:
    round_ = event.rounds.get(number=1)
    since = round_.first_start_at - timedelta(hours=1)
    delay_day(event=event, since=since, minutes=50, reason="fog", actor=build.ACTOR, now=since)
    facts = facts_for(event, Kind.DELAY, round_, "", since)

    assert [(delay.minutes, delay.reason) for delay in facts.delays] == [(50, "fog")]
    first = facts.planned[0]
    assert first.before is not None
    assert (first.round, first.at - first.before) == (1, timedelta(minutes=50))
    (start,) = facts_for(event, Kind.CHECK_IN, None, "", since).first_starts
    assert (start.at, start.divisions) == (first.at, ())


def test_the_check_in_notice_knows_pools_that_start_apart(event: Event) -> None:
    round_ = event.rounds.get(number=1)
    for label, hours, code in (("A", 0, "MA1"), ("B", 4, "FA1")):
        at = round_.first_start_at + timedelta(hours=hours)
        pool = Pool.objects.create(round=round_, label=label, start_type="shotgun", first_start_at=at)
        pool.divisions.set(event.divisions.filter(code=code))
    starts = facts_for(event, Kind.CHECK_IN, None, "", NOW).first_starts
    assert [(start.at.hour, start.divisions) for start in starts] == [(9, ("MA1",)), (13, ("FA1",))]


def test_a_delay_of_yesterday_is_no_news(event: Event) -> None:
    round_ = published(event)
    moved(round_, 50, NOW)
    facts = facts_for(event, Kind.DELAY, round_, "", NOW + timedelta(hours=19))
    assert (facts.stop, facts.moved) == (None, ())


def test_a_stop_that_lasts_names_the_earliest_restart(event: Event) -> None:
    Suspension.objects.create(
        event=event, cause="lightning", signalled_at=NOW, by="x", where_to_go="the club house"
    )
    facts = facts_for(event, Kind.DELAY, None, "", NOW)

    assert facts.stop is not None
    assert facts.stop.restart == event.local(NOW + timedelta(minutes=30))
    assert facts.stop.where_to_go == "the club house"


def test_the_mail_file_has_the_text_as_it_was_typed(event: Event) -> None:
    answer = client_of(event, Role.MARSHAL).post(page(event, "mail"), TYPED)
    mail = message_from_bytes(answer.content, policy=SMTP)

    assert answer["Content-Type"] == "message/rfc822"
    assert (mail["Subject"], mail["Bcc"]) == ("Check-in", None)
    assert mail.get_content() == "Hello,\r\nas I typed it.\r\n"  # type: ignore[attr-defined]


def test_an_empty_text_is_refused_and_the_subject_kept(event: Event) -> None:
    answer = client_of(event, Role.DESK).post(page(event, "mail"), {"subject": "My own subject", "text": ""})
    assert answer.status_code == 422
    assert 'value="My own subject"' in answer.content.decode()


@time_machine.travel(NOW, tick=False)
def test_addresses_only_by_their_own_button_and_the_log_keeps_how_many(event: Event) -> None:
    reachable_entry(event, "one@example.org")
    reachable_entry(event, "one@example.org")  # two of one family
    reachable_entry(event, "gone@example.org", status=Status.WITHDRAWN)
    answer = client_of(event, Role.DESK).post(page(event, "addressed"), TYPED)

    assert message_from_bytes(answer.content, policy=SMTP)["Bcc"] == "one@example.org"
    act = Act.objects.get(action="message.addresses")
    assert act.detail == {"addresses": 1}
    assert "one@example.org" not in f"{act.subject} {act.reason}"


def test_nobody_left_an_address(event: Event) -> None:
    with pytest.raises(MessageRefused, match="Nobody in the field has left a mail address"):
        addressed_mail(event=event, subject="s", text="t", actor=build.ACTOR, now=NOW)
    answer = client_of(event, Role.DESK).post(page(event, "addressed"), TYPED)
    assert answer.status_code == 422
    assert "as I typed it." in answer.content.decode()


@pytest.mark.parametrize(
    ("role", "reads", "takes"),
    [
        (Role.DIRECTOR, 200, 200),
        (Role.DESK, 200, 200),
        (Role.CARD_ROOM, 200, 403),
        (Role.EQUIPMENT, 200, 403),
        (Role.MARSHAL, 200, 403),
        (Role.VIEWER, 403, 403),
    ],
)
def test_addresses_never_reach_other_roles(event: Event, role: Role, reads: int, takes: int) -> None:
    """With data that could leak: everybody in the field has left an address and a number."""
    published(event)
    reachable_entry(event, "hidden@example.org", guardian="Guardian Hidden")
    client = client_of(event, role)
    pages = [client.get(page(event), {"kind": kind}) for kind in Kind]
    taken = client.post(page(event, "addressed"), TYPED)

    assert {answer.status_code for answer in pages} == {reads}
    assert taken.status_code == takes
    plain = client.post(page(event, "mail"), TYPED).content
    for answer in (*(each.content for each in pages), plain, taken.content if takes == 403 else b""):
        for word in (b"hidden@example.org", b"555 99", b"Hidden"):
            assert word not in answer
