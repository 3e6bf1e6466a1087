"""The page of one division: its working and its form."""

import pytest

import build
import build_prizes
from build_prizes import page, text
from events.entries.models import Status
from events.setup.models import AddOn, Event, Role
from scoring.prizes.models import DivisionPlan, HandOver
from scoring.prizes.services import plan_prizes

NOW, ACTOR = build.NOW, build.ACTOR


def test_a_division_shows_its_working_from_the_fee_to_the_last_cent(event, director, placed):
    AddOn.objects.create(event=event, name="greens", kind="greens", fee_cents=200, included=True)
    plan_prizes(event=event, version=0, added_cents=10_000, how="", actor=ACTOR, now=NOW)
    build_prizes.plan(
        event, "MPO", 1, method="table", extra_cents=1_000, extra_note="a sponsor", pack_cents=500
    )

    shown = text(director.get(page(event, "division", "MPO")))

    for words in (
        "8 × entry fee 45.00",
        "passed through: greens 2.00",
        "344.00",
        "85 % returned",
        "of 100.00 added cash, by the entry fees of the pro divisions",
        "added to this division: a sponsor",
        "packs beside it, 8 × 5.00: extra, not purse",
        "40 % of 8, rounded up, is 4",
        "own, row for 4 places. typed by hand",
        "paid to players",
    ):
        assert words in shown, words


def test_a_tie_and_a_declined_prize_are_shown_where_they_fall(event, director, monkeypatch, placed):
    found = build_prizes.places(*placed, at=(1, 2, 2, 2, 5, 6, 7, 8))
    monkeypatch.setattr("scoring.prizes.awards.places_of", lambda divisions: found)
    monkeypatch.setattr("scoring.prizes.awards.too_early", lambda event, found: {})
    director.post(page(event, "said", placed[0].pk), {"said": "declined"})

    shown = text(director.get(page(event, "division", "MPO")))

    assert "declined: moves up to the next (1.10.E)" in shown
    assert "3 tied: 122.40 + 91.80 + 61.20 = 275.40, divided by 3" in shown
    assert "<b>91.80</b>" in shown


PLAN = {
    "version": 1, "by": "curve", "curve_first_percent": "", "curve_last_cents": "", "unit_cents": "500", "places": "5",
    "share_percent": "", "extra_cents": "", "extra_note": "", "fixed_cents": "", "pack_cents": "", "trophies": "",
}  # fmt: skip


def test_a_division_is_planned_by_its_form(event, director, placed):
    answer = director.post(page(event, "division", "MPO"), PLAN)

    assert answer.status_code == 302
    plan = DivisionPlan.objects.get(division__code="MPO")
    assert (plan.method, plan.table, plan.unit_cents, plan.places, plan.version) == ("curve", None, 500, 5, 2)
    shown = text(director.get(page(event, "division", "MPO")))
    assert "Paid in fives, after the ties are shared." in shown


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"version": 0}, "changed by somebody else"),
        ({"places": "0"}, "greater than or equal to 1"),
        ({"extra_cents": "5"}, "Say where it comes from."),
        ({"by": "table:77"}, "Select a valid choice"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_and_kept_in_the_form(event, director, placed, changed, words):
    answer = director.post(page(event, "division", "MPO"), PLAN | {"extra_note": ""} | changed)

    assert answer.status_code == 422
    assert words in text(answer)
    assert DivisionPlan.objects.get(division__code="MPO").version == 1


def test_once_the_event_is_over_its_plan_stands_and_its_prizes_are_still_handed_out(event, director, placed):
    Event.objects.update(over_at=build.NOW)

    answer = director.post(page(event, "division", "MPO"), PLAN)
    given = director.post(page(event, "give", placed[0].pk), {"method": "cash", "cents": 12_240})

    assert answer.status_code == 422
    assert "The event is over" in text(answer)
    assert DivisionPlan.objects.get(division__code="MPO").version == 1
    assert given.status_code == 302
    assert HandOver.objects.get().cents == 12_240


def test_amateurs_choose_goods_and_true_amateurs_trophies(event, director):
    for _ in range(5):
        build.make_entry(event, "MA1")

    director.post(
        page(event, "division", "MA1"),
        PLAN | {"version": 0, "by": "", "places": "", "true_amateur": "on", "amateur_kind": "voucher"},
    )

    assert DivisionPlan.objects.get().true_amateur
    shown = text(director.get(page(event, "division", "MA1")))
    assert "<h2>Trophies</h2>" in shown
    assert "2 trophies" in text(director.get(page(event, "overview")))


def test_the_desk_reads_and_does_not_plan(event, client_as, placed):
    desk = client_as(Role.DESK)

    shown = text(desk.get(page(event, "division", "MPO")))

    assert "<h2>Plan</h2>" not in shown
    assert desk.post(page(event, "division", "MPO"), PLAN).status_code == 403
    assert desk.post(page(event, "post")).status_code == 403


@pytest.mark.parametrize("name", ["event_plan", "fees_published", "the_rest"])
def test_addresses_of_forms_lead_back(event, director, name):
    assert director.get(page(event, name)).url == page(event, "overview")


def test_a_division_that_is_not_offered_is_not_found(event, director):
    assert director.get(page(event, "division", "FPO")).status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_of_a_division_takes_a_known_number_of_queries(
    event, director, handed, count, django_assert_num_queries
):
    handed(count)
    with django_assert_num_queries(30):
        director.get(page(event, "division", "MPO"))


def test_the_net_fee_of_who_did_not_play_is_worked_out(event, director, placed):
    """Competition Manual 2025, 5.06.A: out of the count; the fee may be given to the division."""
    AddOn.objects.create(event=event, name="Greens", kind=AddOn.Kind.GREENS, fee_cents=500, included=True)
    for _ in range(2):
        build.make_entry(event, "MPO", status=Status.DID_NOT_PLAY)

    shown = text(director.get(page(event, "division", "MPO")))

    assert "Their net fee, $80, may be added to this division." in shown
