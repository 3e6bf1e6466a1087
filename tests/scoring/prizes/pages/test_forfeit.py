"""Prizes that nobody claimed: given up after an effort, logged, undone (Competition Manual 2025, 1.10.G)."""

from datetime import timedelta

import pytest
import time_machine

import build
from build_prizes import page, text
from events.log.models import Act
from events.setup.models import Role
from scoring.money.prize_money import prize_money
from scoring.prizes.models import Forfeit, HandOver
from scoring.prizes.queries import open_prizes

WROTE = {"cents": "12240", "asked": "twice by mail, the club by phone", "asked_on": "2026-07-10"}


@pytest.fixture
def late():
    """Day 40 after the event: prizes were to be claimed until 13 July."""
    with time_machine.travel(build.NOW + timedelta(days=40), tick=False):
        yield


@pytest.fixture
def signed(late, client_as):
    """Signed in on that day."""
    return client_as(Role.DIRECTOR)


def gives_up(client, event, entry, **facts):
    return client.post(page(event, "forfeit", entry.pk), WROTE | facts, follow=True)


def test_a_prize_that_is_given_up_is_due_no_more_until_that_is_undone(event, placed, signed):
    first = placed[0]
    unpaid = prize_money(event).unpaid
    assert "not claimed</a>" in text(signed.get(page(event, "hand_out")))

    shown = text(gives_up(signed, event, first))

    assert f"{first.person.name}: forfeited." in shown
    assert "forfeited: twice by mail, the club by phone, last on 10 July" in shown
    assert prize_money(event).unpaid == unpaid - 12_240
    assert not any(first.person.name in line for line in open_prizes(event, now=build.NOW))
    act = Act.objects.get(action="prize.forfeited")
    assert (act.subject, act.detail["prize_cents"], act.reason) == (first.person.name, 12_240, WROTE["asked"])

    row = Forfeit.objects.get()
    shown = text(signed.post(page(event, "not_forfeited", row.pk), follow=True))
    assert f"Undone: the prize waits for {first.person.name}." in shown
    assert prize_money(event).unpaid == unpaid
    assert "waits already" in text(signed.post(page(event, "not_forfeited", row.pk), follow=True))
    signed.post(page(event, "give", first.pk), {"method": "cash", "cents": 12_240})
    assert HandOver.objects.get().entry == first


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"asked": " "}, "This field is required."),
        ({"asked_on": "2027-01-01"}, "That day is still to come"),
        ({"cents": "1"}, "is another by now: look again"),
    ],
)
def test_a_prize_is_not_given_up_without_the_effort_and_what_was_typed_stays(
    event, placed, signed, facts, words
):
    answer = gives_up(signed, event, placed[0], **facts)

    assert answer.status_code == 422
    assert words in text(answer)
    assert (WROTE | facts)["asked_on"] in text(answer)
    assert not Forfeit.objects.exists()


def test_a_prize_can_be_claimed_for_thirty_days(event, placed, director):
    assert "not claimed</a>" not in text(director.get(page(event, "hand_out")))
    answer = gives_up(director, event, placed[0], asked_on="2026-06-01")
    assert "can claim the prize until 13 July" in text(answer)
    assert not Forfeit.objects.exists()


def test_what_is_given_up_is_neither_handed_out_nor_answered(event, placed, signed):
    gives_up(signed, event, placed[0])

    form = {"method": "cash", "cents": 12_240}
    assert "forfeited: undo that first" in text(
        signed.post(page(event, "give", placed[0].pk), form, follow=True)
    )
    said = {"said": "declined"}
    assert "is forfeited: undo that first" in text(
        signed.post(page(event, "said", placed[0].pk), said, follow=True)
    )
    assert "Nothing is open" in text(gives_up(signed, event, placed[0], cents="0"))
    assert not HandOver.objects.exists()


def test_only_the_director_gives_a_prize_up(event, placed, late, client_as):
    desk = client_as(Role.DESK)
    assert "not claimed</a>" not in text(desk.get(page(event, "hand_out")))
    assert desk.post(page(event, "forfeit", placed[0].pk), WROTE).status_code == 403
