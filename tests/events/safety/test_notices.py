"""Notices: posted, shown until their time, taken down, in the log."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError
from django.urls import reverse
from django.utils import timezone

import build
from events.log.models import Act
from events.safety.models import Notice
from events.safety.queries import CAUTION, notices_before, notices_now
from events.safety.services import NoticeRefused, post_notice, withdraw_notice
from events.setup.models import Event, Role

NOW = build.NOW


def post(event: Event, title: str = "Hole 7", kind: str = "news", **facts: Any) -> Notice:
    facts = {"text": "", "until": None, "actor": build.ACTOR, "now": NOW, **facts}
    return post_notice(event=event, kind=kind, title=title, **facts)


def titles(event: Event, now: datetime) -> list[str]:
    return [notice.title for notice in notices_now(event, now)]


def test_hazards_come_first_and_then_the_newest(event: Event) -> None:
    for minute, (title, kind) in enumerate(
        [("old news", "news"), ("wasps", "hazard"), ("late", "delay"), ("news", "news")]
    ):
        post(event, title, kind, now=NOW + timedelta(minutes=minute))
    assert titles(event, NOW + timedelta(hours=1)) == ["wasps", "late", "news", "old news"]


def test_a_notice_hangs_until_its_time(event: Event) -> None:
    post(event, until=NOW + timedelta(minutes=10))
    assert titles(event, NOW + timedelta(minutes=9)) == ["Hole 7"]
    assert titles(event, NOW + timedelta(minutes=10)) == []
    assert [notice.title for notice in notices_before(event, NOW + timedelta(minutes=10))] == ["Hole 7"]


def test_a_notice_is_taken_down_once(event: Event) -> None:
    notice = post(event)
    withdraw_notice(notice=notice, actor=build.ACTOR, now=NOW + timedelta(minutes=1))
    assert titles(event, NOW + timedelta(minutes=1)) == []
    with pytest.raises(NoticeRefused, match="is down already"):
        withdraw_notice(notice=notice, actor=build.ACTOR, now=NOW + timedelta(minutes=2))
    assert list(Act.objects.order_by("number").values_list("action", "subject")) == [
        ("notice.posted", "Hole 7"),
        ("notice.withdrawn", "Hole 7"),
    ]


def test_a_notice_that_ran_out_is_not_taken_down(event: Event) -> None:
    notice = post(event, until=NOW + timedelta(minutes=1))
    with pytest.raises(NoticeRefused):
        withdraw_notice(notice=notice, actor=build.ACTOR, now=NOW + timedelta(minutes=1))


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"title": "  "}, "Write a title."),
        ({"kind": "rumour"}, "Choose a kind of notice."),
        ({"until": NOW}, "It would be over already: choose a later time."),
        (
            {"valid_from": NOW + timedelta(hours=2), "until": NOW + timedelta(hours=1)},
            "It would be over already: choose a later time.",
        ),
        ({"in_other_words": {"es": {"title": " ", "text": "x"}}}, "Write a title in es."),
        (
            {"in_other_words": {"Spanish": {"title": "x", "text": ""}}},
            "'Spanish' is not a language: write it as es, or pt-BR.",
        ),
    ],
)
def test_what_cannot_be_posted_is_refused_in_words(
    event: Event, facts: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(NoticeRefused) as refused:
        post(event, **facts)
    assert str(refused.value) == sentence
    assert not Notice.objects.exists()
    assert not Act.objects.exists()


def test_the_database_keeps_kind_and_title(event: Event) -> None:
    with pytest.raises(IntegrityError):
        Notice.objects.create(event=event, kind="rumour", title="x", posted_at=NOW, posted_by="T")


def test_the_page_posts_at_the_clock_of_the_venue(event: Event, client_as: Any) -> None:
    event.time_zone = "America/Chicago"
    event.save()
    client = client_as(Role.MARSHAL)
    address = reverse("safety:notices", args=[event.slug])
    tomorrow = timezone.now() + timedelta(days=1)
    wall = event.local(tomorrow).replace(second=0, microsecond=0)
    answer = client.post(
        address,
        {"kind": "delay", "title": "Round 2", "text": "starts later", "until": f"{wall:%Y-%m-%dT%H:%M}"},
    )
    assert answer.status_code == 302
    notice = Notice.objects.get()
    assert notice.until == wall
    page = client.get(address).content.decode()
    assert CAUTION in page
    assert client.post(reverse("safety:withdraw", args=[event.slug, notice.pk])).status_code == 302
    notice.refresh_from_db()
    assert notice.withdrawn_at is not None


def test_a_fault_brings_the_form_back(event: Event, client_as: Any) -> None:
    answer = client_as(Role.DESK).post(
        reverse("safety:notices", args=[event.slug]),
        {"kind": "news", "title": "Lunch", "text": "", "until": "2020-01-01T10:00"},
    )
    assert answer.status_code == 422
    assert "It would be over already" in answer.content.decode()


@pytest.mark.parametrize(
    ("role", "status"),
    [(Role.DIRECTOR, 302), (Role.DESK, 302), (Role.MARSHAL, 302), (Role.CARD_ROOM, 403), (Role.VIEWER, 403)],
)
def test_who_may_post(event: Event, client_as: Any, role: Role, status: int) -> None:
    address = reverse("safety:notices", args=[event.slug])
    client = client_as(role)
    assert client.get(address).status_code == 200
    assert client.post(address, {"kind": "news", "title": "Lunch", "text": ""}).status_code == status


def test_a_notice_of_another_event_is_not_found(event: Event, client_as: Any) -> None:
    other = build.make_event("other-pines")
    notice = post(other)
    assert (
        client_as(Role.DIRECTOR).post(reverse("safety:withdraw", args=[event.slug, notice.pk])).status_code
        == 404
    )


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_takes_the_same_queries_for_any_number(
    event: Event, client_as: Any, django_assert_num_queries: Any, count: int
) -> None:
    for number in range(count):
        post(event, f"notice {number}", now=timezone.now())
        post(event, f"to come {number}", valid_from=timezone.now() + timedelta(hours=1))
        withdraw_notice(notice=post(event, f"gone {number}"), actor=build.ACTOR, now=NOW)
    client = client_as(Role.VIEWER)
    # session, account, event, role; what hangs out, what comes, what is down
    with django_assert_num_queries(7):
        client.get(reverse("safety:notices", args=[event.slug]))
