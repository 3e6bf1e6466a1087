"""The page of the purse: one way for all, added cash, fees, posting."""

from datetime import timedelta

import pytest
import time_machine

import build
import build_prizes
from build_prizes import page, text
from events.setup.models import AddOn, Event
from scoring.prizes.models import DivisionPlan, Payout, PrizePlan

NOW = build.NOW


def test_the_overview_says_what_is_missing_and_offers_one_way_for_all(event, director):
    for code in ("MPO", "MA1"):
        for _ in range(5):
            build.make_entry(event, code)
    shown = text(director.get(page(event, "overview")))
    assert "2 divisions without a way to pay." in shown
    assert "Post the payout before the last round, Fri 12 June 13:00" in shown

    director.post(page(event, "the_rest"), {"by": "curve"})

    assert [plan.method for plan in DivisionPlan.objects.all()] == ["curve", "curve"]
    assert "without a way" not in text(director.get(page(event, "overview")))


def test_one_way_for_all_needs_a_way(event, director):
    build.make_entry(event, "MPO")

    answer = director.post(page(event, "the_rest"), {"by": "table:99"})

    assert answer.status_code == 422
    assert not DivisionPlan.objects.exists()


def test_added_cash_is_saved_and_a_stale_page_keeps_what_was_typed(event, director):
    director.post(page(event, "event_plan"), {"version": 0, "added_cents": "750.50", "how": "cash"})
    assert PrizePlan.objects.get().added_cents == 75_050

    answer = director.post(page(event, "event_plan"), {"version": 0, "added_cents": "900", "how": "cheques"})

    assert answer.status_code == 422
    assert "changed by somebody else" in text(answer)
    assert 'value="cheques"' in text(answer)
    assert PrizePlan.objects.get().added_cents == 75_050


def test_nothing_of_the_plan_is_saved_once_the_event_is_over(event, director):
    build.make_entry(event, "MPO")
    Event.objects.update(over_at=NOW)

    answer = director.post(page(event, "event_plan"), {"version": 0, "added_cents": "333", "how": "cash"})
    rest = director.post(page(event, "the_rest"), {"by": "curve"}, follow=True)

    assert answer.status_code == 422
    assert "The event is over" in text(answer)
    assert 'value="333"' in text(answer)
    assert "The event is over" in text(rest)
    assert not PrizePlan.objects.exists()
    assert not DivisionPlan.objects.exists()


def test_an_amount_that_is_none_is_refused_beside_its_field(event, director):
    answer = director.post(page(event, "event_plan"), {"version": 0, "added_cents": "lots", "how": ""})

    assert answer.status_code == 422
    assert "Write an amount as 45 or 45.50." in text(answer)


def test_when_the_fees_were_published(event, director):
    AddOn.objects.create(event=event, name="greens", kind="greens", fee_cents=200, included=True)
    later = director.post(page(event, "fees_published"), {"at": "2026-07-01T12:00"})
    assert "still to come" in text(later)

    director.post(page(event, "fees_published"), {"at": "2026-04-01T12:00"})

    assert "Published 1 April, 12:00." in text(director.get(page(event, "overview")))


def test_the_payout_is_posted_and_posted_again_only_after_a_change(event, director, placed):
    build_prizes.plan(event, "MA1")
    shown = text(director.post(page(event, "post"), follow=True))
    assert "Payout version 1 is posted" in shown
    assert "Post again" not in shown

    build_prizes.plan(event, "MPO", 1, method="table", places=3)
    shown = text(director.get(page(event, "overview")))
    assert "Changed since it was posted: MPO." in shown
    director.post(page(event, "post"))
    assert Payout.objects.count() == 2


def test_no_payout_while_a_division_has_no_way(event, director, placed):
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1")
    build.make_entry(event, "MA1")

    shown = text(director.post(page(event, "post"), follow=True))

    assert "MA1: Choose a table or a curve: none is chosen." in shown


def test_a_payout_posted_after_the_last_round_began_is_said(event, director, placed):
    build_prizes.plan(event, "MA1")
    with time_machine.travel(NOW + timedelta(hours=8), tick=False):
        director.post(page(event, "post"))
        shown = text(director.get(page(event, "overview")))

    assert "was not posted before the last round began" in shown


def test_one_round_needs_no_posting(event, director, placed):
    event.rounds.filter(number=2).delete()

    assert "before the last round" not in text(director.get(page(event, "overview")))


@pytest.mark.parametrize("count", [1, 3])
def test_the_overview_takes_a_known_number_of_queries(
    event, director, handed, count, django_assert_num_queries
):
    handed(count)
    with django_assert_num_queries(13):
        director.get(page(event, "overview"))
