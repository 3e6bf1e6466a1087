"""What the statement says of prizes: due player by player, what is won by nobody, what is due in things."""

import pytest

import build
import build_prizes
from build_money import WHO, writes
from events.entries.models import Entry
from events.setup.models import AddOn
from scoring.money.models import MoneyLine
from scoring.money.prize_money import prize_money
from scoring.money.queries import statement
from scoring.prizes.handing import hand_over
from scoring.prizes.models import Forfeit
from scoring.prizes.too_early import NOBODY_FINISHED

pytestmark = pytest.mark.django_db


@pytest.fixture
def event(db):
    return build.make_event(divisions=("MPO", "MA1"))


@pytest.fixture
def placed(monkeypatch):
    """`placed(*entries, early=…)`: the final order from then on, and why places are not final."""

    def place(*entries, early=None):
        found = build_prizes.places(*entries)
        monkeypatch.setattr("scoring.prizes.awards.places_of", lambda divisions: found)
        monkeypatch.setattr("scoring.prizes.awards.too_early", lambda event, found: early or {})

    return place


@pytest.fixture
def pros(event):
    """Eight professionals, a purse of 306.00 in four prizes: 122.40, 91.80, 61.20, 30.60."""
    people = [build.make_person(given=f"Pro{at}", playing_class="pro") for at in range(8)]
    entries = [build.make_entry(event, "MPO", person=person) for person in people]
    build_prizes.plan(event, "MPO", method="table", table=build_prizes.take(event))
    return entries


def lines(event, key):
    return {line.label: line.cents for line in statement(event).section(key).lines}


def test_a_prize_paid_to_somebody_else_pays_nobody_who_is_due_one(event, pros, placed):
    placed(*pros)
    hand_over(entry=pros[0], method="cash", expected_cents=12_240, note="", **WHO)
    before = statement(event).left

    placed(*pros[1:])  # the first one was disqualified

    assert lines(event, "others")["prizes in money not paid yet"] == 30_600
    assert lines(event, "left")["prizes paid too much: to come back"] == 12_240
    assert statement(event).left == before
    assert any("122.40 of prizes was paid too much" in point for point in _plain(event))


def _plain(event):
    return [point.replace("$", "") for point in statement(event).open]


@pytest.mark.parametrize(("early", "cents"), [(NOBODY_FINISHED, 0), ("cards are still out", 30_600), ("", 0)])
def test_a_purse_that_nobody_can_win_any_more_is_the_events(event, pros, placed, early, cents):
    """Competition Manual 2025, 1.10.E: what passed everybody may be kept."""
    placed(early={"MPO": early} if early else None)

    assert prize_money(event).unpaid == cents


def test_prizes_that_are_not_won_yet_are_due_as_well(event, pros, placed):
    placed(*pros[:2], early={"MPO": "cards are still out"})
    assert prize_money(event).unpaid == 30_600

    placed(*pros[:2])
    assert prize_money(event).unpaid == 12_240 + 9_180


def test_prizes_in_things_are_taken_off_until_a_line_says_what_they_cost(event):
    for _ in range(5):
        build.make_entry(event, "MA1")
    build_prizes.plan(event, "MA1")
    things = prize_money(event).things
    held, others = statement(event).held, statement(event).section("others").total

    assert things > 0
    assert lines(event, "left")["prizes in things, not bought yet"] == -things
    assert statement(event).left == held - others - things

    writes(event, MoneyLine.Category.PRIZES, 9_000)
    assert "prizes in things, not bought yet" not in lines(event, "left")
    assert statement(event).left == held - others - 9_000


def test_things_that_nobody_claimed_need_not_be_bought(event, placed):
    entries = [build.make_entry(event, "MA1") for _ in range(5)]
    build_prizes.plan(event, "MA1")
    placed(*entries)
    things = prize_money(event).things
    Forfeit.objects.create(
        entry=entries[0], cents=1_000, asked="by mail", asked_on=event.ends_on, at=build.NOW, by="Tester"
    )

    assert prize_money(event).things == things - 1_000


@pytest.mark.parametrize(("cents", "passes"), [(200, 200), (900, 300)])
def test_no_more_of_a_td_fee_belongs_to_others_than_passes_through_the_entry(event, cents, passes):
    """Competition Manual 2025, 5.04.A: a TD fee up to the tier's per-player fee, 3.00 at a C-tier."""
    build.make_entry(event, "MA1")
    AddOn.objects.create(
        event=event, name="For the director", kind=AddOn.Kind.TD_FEE, fee_cents=cents, included=True
    )

    assert lines(event, "others")[MoneyLine.Category.TD_FEE.label] == passes
    assert Entry.objects.count() == 1
