"""The plan of the prizes: kept with its versions, posted as a version, read with a known number of queries."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

import build
import build_prizes
from events.entries.models import Entry, Status
from events.log.models import Act
from events.setup.models import AddOn, Division
from scoring.prizes.models import DivisionPlan, HandOver, Payout, PrizeAnswer, PrizePlan, TakenTable
from scoring.prizes.planning import purse_of
from scoring.prizes.services import (
    PrizesRefused,
    PrizesStale,
    plan_prizes,
    plan_the_rest,
    post_payout,
    publish_fees,
)
from scoring.prizes.working import NO_DEPTH

NOW, ACTOR = build.NOW, build.ACTOR


@pytest.fixture
def event(db):
    return build.make_event(divisions=("MPO", "FPO", "MA1"))


def test_purses_count_who_plays_and_who_played(event):
    for status in (Status.CONFIRMED, Status.CONFIRMED, Status.DID_NOT_FINISH):
        build.make_entry(event, "MPO", status=status)
    build.make_entry(event, "MPO", status=Status.DISQUALIFIED, left_reason="cheated")
    for status in (Status.APPLIED, Status.WAITLISTED, Status.WITHDRAWN, Status.DID_NOT_PLAY):
        build.make_entry(event, "MPO", status=status)

    found = purse_of(event).of("MPO")

    assert (found.money.players, found.gross, found.least_places) == (4, 18_000, 2)


def test_fees_inside_the_entry_and_added_cash(event):
    AddOn.objects.create(event=event, name="per-player fee", kind="player_fee", fee_cents=300, included=True)
    AddOn.objects.create(event=event, name="greens", kind="greens", fee_cents=200, included=True)
    AddOn.objects.create(event=event, name="ace pot", kind="extra", fee_cents=500)
    for code, count in (("MPO", 3), ("FPO", 1), ("MA1", 2)):
        for _ in range(count):
            build.make_entry(event, code)
    plan_prizes(event=event, version=0, added_cents=10_000, how="", actor=ACTOR, now=NOW)

    found = purse_of(event)

    assert [each.money.net for each in found.divisions] == [12_000, 4_000, 8_000]
    assert [each.money.added for each in found.divisions] == [7_500, 2_500, 0]
    assert "were published" in found.warnings[0]
    assert (
        found.cents
        == sum(each.purse.cents for each in found.divisions)
        == 10_200 + 7_500 + 3_400 + 2_500 + 6_800
    )


@pytest.mark.parametrize(
    ("tier", "region", "words"),
    [
        ("B", "north_america", "Added cash is 0.00; the tier asks for 750.00"),
        ("major", "north_america", "Added cash is 0.00; the tier asks for 11.25"),
        ("A", "elsewhere", "The professional purse is 33.75; 5,000.00 is the least"),
    ],
)
def test_what_the_tier_asks_of_the_event(db, tier, region, words):
    event = build.make_event("other", divisions=("MPO", "MA1"), tier=tier, region=region)
    build.make_entry(event, "MPO")

    assert words in purse_of(event).warnings[0]


def test_added_cash_that_no_fee_draws_is_said_to_be_in_no_purse(event):
    """1.10.C shares it by the entry fees of the professional divisions; here nobody paid one."""
    for code in ("MPO", "FPO"):
        entry = build.make_entry(event, code)
        Entry.objects.filter(pk=entry.pk).update(fee_cents=0)
    plan_prizes(event=event, version=0, added_cents=10_000, how="", actor=ACTOR, now=NOW)

    found = purse_of(event)

    assert (found.added, found.added_in) == (10_000, 0)
    assert "100.00 of the added cash is in no purse" in found.warnings[-1]


@pytest.mark.parametrize(("fixed", "added_in"), [(30_000, 10_000), (8_000, 4_175), (1_000, 0)])
def test_a_fixed_purse_holds_the_added_cash_beyond_its_least(event, fixed, added_in):
    """Tier B: 85 % of 45.00 net must be returned (38.25), and the rest of a fixed purse is added cash."""
    build.make_entry(event, "MPO")
    plan_prizes(event=event, version=0, added_cents=10_000, how="", actor=ACTOR, now=NOW)
    DivisionPlan.objects.create(division=event.divisions.get(code="MPO"), fixed_cents=fixed)

    found = purse_of(event)

    assert found.added_in == added_in
    assert any("is in no purse" in said for said in found.warnings) is (added_in < 10_000)


@pytest.mark.parametrize(("tier", "region"), [("league", "north_america"), ("elite", "elsewhere")])
def test_where_no_depth_is_published_the_director_says_how_many_are_paid(db, tier, region):
    event = build.make_event("other", divisions=("MPO",), tier=tier, region=region)
    for _ in range(5):
        build.make_entry(event, "MPO")
    DivisionPlan.objects.create(division=event.divisions.get(), method="curve")

    working = purse_of(event).of("MPO")
    assert (working.purse.cents > 0, working.ladder, working.problem) == (True, None, NO_DEPTH)
    with pytest.raises(PrizesRefused, match="how many places"):
        post_payout(event=event, actor=ACTOR, now=NOW)

    DivisionPlan.objects.update(places=2)
    working = purse_of(event).of("MPO")
    assert sum(working.ladder.prizes) == working.purse.cents


def test_no_professionals_need_no_added_cash(db):
    event = build.make_event("other", divisions=("MPO", "MA1"), tier="A")
    build.make_entry(event, "MA1")

    assert purse_of(event).warnings == ()


@pytest.mark.parametrize("divisions", [("MPO",), ("MPO", "FPO", "MA1")])
def test_the_purse_takes_a_known_number_of_queries(db, divisions, django_assert_num_queries):
    event = build.make_event("other", divisions=divisions)
    table = build_prizes.take(event)
    for code in divisions:
        build.make_entry(event, code)
        build_prizes.plan(event, code, method="table", table=table)

    with django_assert_num_queries(6):
        purse_of(event)


def test_a_plan_is_saved_with_its_version_and_logged(event):
    found = build_prizes.plan(event, "MPO", places=4)

    assert found.version == 1
    again = build_prizes.plan(event, "MPO", version=1, places=5)
    assert (again.version, DivisionPlan.objects.get().places) == (2, 5)
    build_prizes.plan(event, "MPO", version=2, places=5)  # unchanged
    acts = Act.objects.filter(chain_id=event.slug, action="prizes.planned").order_by("number")
    assert [act.detail["places"] for act in acts] == [{"old": None, "new": 4}, {"old": 4, "new": 5}]


def test_a_stale_plan_is_refused(event):
    build_prizes.plan(event, "MPO", places=4)

    with pytest.raises(PrizesStale, match="changed by somebody else"):
        build_prizes.plan(event, "MPO", version=0, places=5)
    with pytest.raises(PrizesStale, match="changed by somebody else"):
        plan_prizes(event=event, version=3, added_cents=1, how="", actor=ACTOR, now=NOW)


def test_a_plan_by_table_is_logged_by_its_name(event):
    table = build_prizes.take(event)

    build_prizes.plan(event, "MPO", method="table", table=table)

    act = Act.objects.filter(action="prizes.planned").get()
    assert act.detail["table"] == {"old": None, "new": "own"}


def test_a_table_without_a_table_is_refused_by_form_and_database(event):
    with pytest.raises(ValidationError, match="Choose the table"):
        build_prizes.plan(event, "MPO", method="table")
    with pytest.raises(IntegrityError), transaction.atomic():
        DivisionPlan.objects.create(division=event.divisions.get(code="MPO"), method="table")


@pytest.mark.parametrize(
    "facts",
    [
        {"method": "dice"},
        {"unit_cents": 250},
        {"amateur_kind": "cash"},
        {"curve_first_percent": 0},
        {"share_percent": 501},
        {"places": 0},
    ],
)
def test_what_cannot_be_is_refused_twice(event, facts):
    division = event.divisions.get(code="MPO")
    with pytest.raises(ValidationError):
        DivisionPlan(division=division, **facts).full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        DivisionPlan.objects.create(division=division, **facts)


def test_one_way_for_every_division_that_has_none(event):
    build_prizes.plan(event, "FPO", curve_first_percent=40)
    build_prizes.plan(event, "MA1", method="", places=2)

    planned = plan_the_rest(event=event, facts={"method": "curve", "table": None}, actor=ACTOR, now=NOW)

    assert planned == ["MPO", "MA1"]
    assert DivisionPlan.objects.get(division__code="FPO").curve_first_percent == 40
    assert DivisionPlan.objects.get(division__code="MA1").places == 2


def test_when_the_fees_were_published(event):
    publish_fees(event=event, at=NOW - timedelta(days=90), actor=ACTOR, now=NOW)

    assert PrizePlan.objects.get().fees_published_by == "Tester"
    with pytest.raises(PrizesRefused, match="still to come"):
        publish_fees(event=event, at=NOW + timedelta(days=1), actor=ACTOR, now=NOW)


def test_a_table_is_taken_whole_or_not_at_all(event):
    table = build_prizes.take(event)

    assert (table.rows["2"], table.taken_by) == (["60", "40"], "Tester")
    with pytest.raises(PrizesRefused, match="2 problems: nothing was taken"):
        build_prizes.take(event, "broken", b"1,90\n2,50,40\n")
    with pytest.raises(ValidationError, match="give it another one"):
        build_prizes.take(event)
    with pytest.raises(PrizesRefused, match="too large"):
        build_prizes.take(event, "large", b"1,100\n" * 50_000)
    assert TakenTable.objects.count() == 1


def test_a_table_needs_its_source_in_the_database_too(event):
    with pytest.raises(IntegrityError), transaction.atomic():
        TakenTable.objects.create(event=event, name="x", source="", rows={}, taken_at=NOW, taken_by="x")


def field(event):
    for code in ("MPO", "FPO", "MA1"):
        for _ in range(5):
            build.make_entry(event, code)
        build_prizes.plan(event, code, curve_first_percent=60)


def test_the_payout_is_posted_as_a_version(event):
    field(event)

    first = post_payout(event=event, actor=ACTOR, now=NOW)

    assert (first.number, len(first.sha256)) == (1, 64)
    assert [row["code"] for row in first.content["divisions"]] == ["MPO", "FPO", "MA1"]
    assert sum(first.content["divisions"][0]["prizes_cents"]) == 19_125
    with pytest.raises(PrizesRefused, match="hangs already"):
        post_payout(event=event, actor=ACTOR, now=NOW)
    build_prizes.plan(event, "MPO", version=1, curve_first_percent=70)
    second = post_payout(event=event, actor=ACTOR, now=NOW)
    assert (second.number, Payout.objects.get(number=1).content) == (2, first.content)


def test_no_payout_without_a_way_or_a_division(event):
    field(event)
    DivisionPlan.objects.filter(division__code="FPO").delete()

    with pytest.raises(PrizesRefused, match="FPO: Choose a table or a curve"):
        post_payout(event=event, actor=ACTOR, now=NOW)
    Entry.objects.all().delete()
    DivisionPlan.objects.all().delete()
    Division.objects.all().update(dropped_at=NOW)
    with pytest.raises(PrizesRefused, match="No division is offered"):
        post_payout(event=event, actor=ACTOR, now=NOW)


def test_rows_of_handing_out_that_cannot_be(event):
    entry = build.make_entry(event, "MPO")
    facts = {"entry": entry, "division": entry.division, "place": 1, "at": NOW, "by": "x"}
    for wrong in (
        {"cents": 0, "kind": "cash", "method": "cash"},
        {"cents": 5, "kind": "gold", "method": "cash"},
        {"cents": 5, "kind": "cash", "method": "pigeon"},
    ):
        with pytest.raises(ValidationError):
            HandOver(**facts, **wrong).full_clean()
        with pytest.raises(IntegrityError), transaction.atomic():
            HandOver.objects.create(**facts, **wrong)
    with pytest.raises(IntegrityError), transaction.atomic():
        PrizeAnswer.objects.create(entry=entry, said="maybe", at=NOW, by="x")
