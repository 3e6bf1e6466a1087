"""Advice about a plan: each line by its cause, with its source; silence where there is nothing to say."""

from datetime import UTC, date, datetime, timedelta

import pytest

from events.rulebook.divisions import division
from events.rulebook.loader import in_force
from events.setup.advice import Advice, Outline, RoundPlan, advise, kind_of_event

BOOK = in_force(date(2026, 6, 12), "north_america")
START = datetime(2026, 6, 12, 9, 0, tzinfo=UTC)


def outline(**facts) -> Outline:
    """A C-tier of one division and two rounds of 18 holes that nothing speaks against."""
    codes = facts.pop("codes", ("MA1", "FA1"))
    holes = facts.pop("holes", dict.fromkeys(codes, 18))
    whole = {
        "tier": "C",
        "starts_on": date(2026, 6, 12),
        "ends_on": date(2026, 6, 13),
        "codes": codes,
        "rounds": (RoundPlan(1, START, holes), RoundPlan(2, START + timedelta(days=1), holes)),
        "checkin_closes_at": START - timedelta(minutes=30),
    }
    return Outline(**(whole | facts))


def texts(**facts) -> list[str]:
    return [advice.text for advice in advise(outline(**facts), BOOK)]


def test_a_sound_plan_has_no_advice():
    assert advise(outline(), BOOK) == []


def test_an_empty_plan_is_told_what_is_missing():
    assert texts(codes=(), rounds=(), checkin_closes_at=None) == [
        "Check-in has no closing time yet.",
        "No division is offered yet.",
        "No round is planned yet.",
    ]


def test_a_mixed_division_wants_its_mirror():
    assert advise(outline(codes=("MA1", "FA1", "MA40")), BOOK) == [
        Advice(
            "divisions",
            "MA40 is offered: FA40 has to be open for the first 7 days too.",
            "Competition Manual 2025, 5.02.C",
        )
    ]


def test_an_a_tier_wants_the_divisions_of_its_kind():
    holes = {"MPO": 27, "FPO": 27, "FA1": 27}
    found = advise(outline(tier="A", codes=("MPO", "FPO", "FA1"), holes=holes), BOOK)

    assert found == [
        Advice("divisions", "An A-tier of this kind offers MA1.", "Competition Manual 2025, 5.09.B")
    ]


@pytest.mark.parametrize(
    ("codes", "kind"),
    [
        (("MPO", "FPO", "MJ18"), "pro"),
        (("MA1", "MA40"), "am"),
        (("MPO", "MA40"), "pro_am"),
        (("MP40", "FP50"), "pro_masters"),
        (("MA40",), "am_masters"),
        (("MP40", "FA50"), "pro_am_masters"),
        (("FPO", "FP40"), "womens_pro"),
        (("FA1", "FJ18"), "womens_am"),
        (("FPO", "FA2"), "womens_pro_am"),
        (("FP40",), "womens_pro"),
        (("MJ18", "FJ06"), "juniors"),
    ],
)
def test_the_kind_of_an_event(codes, kind):
    assert kind_of_event([division(BOOK, code) for code in codes]) == kind
    assert BOOK.has(f"tier.required_divisions.{kind}")


def test_too_few_holes_for_the_tier_are_named_by_division():
    found = advise(outline(tier="B", holes={"MA1": 18, "FA1": 12}), BOOK)

    assert found == [
        Advice("rounds", "FA1: 24 holes in all; a B-tier has at least 36.", "Competition Manual 2025, 5.05")
    ]


def test_a_round_without_a_layout_is_not_counted_as_no_holes():
    rounds = (RoundPlan(1, START, {"MA1": 18}), RoundPlan(2, START + timedelta(days=1), {}))

    assert texts(tier="A", codes=("MA1",), rounds=rounds) == [
        "MA1 is offered: FA1 has to be open for the first 7 days too.",
        "An A-tier of this kind offers FA1.",
    ]


def test_small_juniors_play_no_more_than_advised_on_one_day():
    holes = {"MJ08": 18, "FJ08": 18}
    rounds = (RoundPlan(1, START, holes), RoundPlan(2, START + timedelta(hours=4), holes))

    assert texts(codes=("MJ08", "FJ08"), rounds=rounds) == [
        "MJ08 plays 36 holes on 12 June; 18 at most are advised.",
        "FJ08 plays 36 holes on 12 June; 18 at most are advised.",
    ]


@pytest.mark.parametrize(
    ("facts", "text"),
    [
        ({"handling_fee_cents": 1001}, "A handling fee may be 10 at most in the event's currency."),
        (
            {
                "registration_opens_at": START - timedelta(days=2),
                "registration_closes_at": START - timedelta(days=3),
            },
            "Registration closes before it opens.",
        ),
        (
            {"registration_closes_at": START + timedelta(minutes=1)},
            "Registration closes after the first start.",
        ),
        ({"checkin_closes_at": START + timedelta(minutes=1)}, "Check-in closes after the first start."),
        ({"ends_on": date(2026, 6, 12)}, "Round 2 is not on a day of the event."),
    ],
)
def test_money_and_times(facts, text):
    assert texts(**facts) == [text]


@pytest.mark.parametrize("facts", [{"handling_fee_cents": 1000}, {"checkin_closes_at": START}])
def test_the_limit_itself_is_within(facts):
    assert texts(**facts) == []


def test_rounds_out_of_order():
    holes = {"MA1": 18, "FA1": 18}
    rounds = (RoundPlan(1, START, holes), RoundPlan(2, START, holes))

    assert texts(rounds=rounds) == ["Round 2 starts before round 1 does."]


def test_a_code_that_left_the_rulebook_is_passed_over():
    assert texts(codes=("MA1", "FA1", "MX9")) == []
