"""Entering, against the published texts. Each test names document and section.

"From memory" and "derived" are said where the figure does not stand in the text that was read.
"""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from events.entries.eligibility import EventFacts, PersonFacts, check, competition_age
from events.entries.membership import MemberFacts, membership
from events.entries.refunds import Cause, refund
from events.rulebook.divisions import divisions, mirrors_missing, required_missing
from events.rulebook.loader import in_force

pytestmark = pytest.mark.published

DAY = date(2025, 6, 7)
RULES = in_force(DAY, "north_america")
EVENT = EventFacts(tier="C", year=2025)
START = datetime(2025, 6, 7, 9, tzinfo=ZoneInfo("America/Chicago"))


def test_competition_age_counts_all_year() -> None:
    """Competition Manual 2025, 2.02.A.2: turning 40 this year counts as 40 all year."""
    person = PersonFacts("am", birth_year=1985, may_enter_f=False, rating=900)

    assert competition_age(1985, 2025) == 40
    assert check(person, "MA40", EVENT, RULES).eligible is True
    assert check(person, "MA40", EventFacts("C", 2024), RULES).eligible is False


@pytest.mark.parametrize(("rating", "expected"), [(934, True), (935, True), (955, True), (956, False)])
def test_a_points_series_admits_twenty_points_over(rating: int, expected: bool) -> None:
    """Competition Manual 2025, 2.03.B: up to 20 over; a cap of 935 then admits up to 955 (derived)."""
    series = EventFacts("C", 2025, points_series=True)
    person = PersonFacts("am", 1990, may_enter_f=False, rating=rating)

    assert check(person, "MA2", series, RULES).eligible is expected


def test_without_a_series_the_cap_is_exclusive() -> None:
    """Cap of MA2: below 935 (from memory; the same figure stands on a national federation's page)."""
    people = [PersonFacts("am", 1990, may_enter_f=False, rating=rating) for rating in (934, 935)]

    assert [check(person, "MA2", EVENT, RULES).eligible for person in people] == [True, False]


@pytest.mark.parametrize(
    ("code", "cap"),
    [("MA2", 935), ("MA3", 900), ("MA4", 850), ("FA2", 825), ("FA3", 775), ("FA4", 725)],
)
def test_rating_divisions(code: str, cap: int) -> None:
    """All six caps from memory; MA2, MA4, FA2 and FA4 also on a national federation's page."""
    below, at = (PersonFacts("am", 1990, may_enter_f=True, rating=rating) for rating in (cap - 1, cap))

    assert [check(person, code, EVENT, RULES).eligible for person in (below, at)] == [True, False]


@pytest.mark.parametrize(
    ("ages", "mixed", "also_f"),
    [
        ((18, 39), 970, 875),
        ((40, 49), 920, 820),
        ((50, 54), 910, 805),
        ((55, 59), 905, 795),
        ((60, 64), 900, 790),
        ((65, 69), 885, 785),
        ((70, 74), 860, 740),
        ((75, 90), 840, 720),
    ],
)
def test_professionals_in_amateur_divisions(ages: tuple[int, int], mixed: int, also_f: int) -> None:
    """Competition Manual 2025, 5.02.B: the rating is below the cap of the age, mixed-only / also F-eligible."""
    for age in ages:
        for f, cap in ((False, mixed), (True, also_f)):
            people = [PersonFacts("pro", 2025 - age, f, rating) for rating in (cap - 1, cap)]
            assert [check(person, "MA1", EVENT, RULES).eligible for person in people] == [True, False]


def test_professionals_play_amateur_divisions_at_lower_tiers_only() -> None:
    """Competition Manual 2025, 2.05.A: at A, B, C and leagues."""
    person = PersonFacts("pro", 1990, may_enter_f=False, rating=900)
    tiers = ("worlds", "major", "elite", "A", "B", "C", "league")

    allowed = [tier for tier in tiers if check(person, "MA1", EventFacts(tier, 2025), RULES).eligible]

    assert allowed == ["A", "B", "C", "league"]


@pytest.mark.parametrize(("code", "least", "f"), [("MPO", 935, False), ("FPO", 825, True)])
def test_open_divisions_at_majors(code: str, least: int, f: bool) -> None:
    """Competition Manual 2025, 4.02.A: MPO at least 935, FPO at least 825 at registration."""
    major = EventFacts("major", 2025)
    people = [PersonFacts("pro", 1990, f, rating) for rating in (least, least - 1)]

    assert [check(person, code, major, RULES).eligible for person in people] == [True, False]


def test_age_divisions_of_both_classes() -> None:
    """Beginner's Guide to Divisions; 2023 Divisional Realignment: 40 to 80, pro and am, mixed and women's."""
    ages = [40, 50, 55, 60, 65, 70, 75, 80]
    found = {
        kind: [d.age for d in divisions(RULES) if d.code[:2] == kind and d.rule == "age"]
        for kind in ("MP", "FP", "MA", "FA")
    }

    assert found == dict.fromkeys(("MP", "FP", "MA", "FA"), ages)


def test_junior_divisions_are_n_and_under_in_the_calendar_year() -> None:
    """Competition Manual 2025, 1.13; Beginner's Guide to Divisions."""
    limits = {18: "18", 15: "15", 12: "12", 10: "10", 8: "08", 6: "06"}
    for age, suffix in limits.items():
        people = [PersonFacts("am", 2025 - years, may_enter_f=True, rating=700) for years in (age, age + 1)]
        for prefix in ("MJ", "FJ"):
            answers = [check(person, prefix + suffix, EVENT, RULES).eligible for person in people]
            assert answers == [True, False]


def test_the_mirror_of_a_mixed_division() -> None:
    """Competition Manual 2025, 5.02.C: MA40 offered, so FA40 offered."""
    assert mirrors_missing(RULES, frozenset({"MA40"})) == ("FA40",)
    assert mirrors_missing(RULES, frozenset({"MA40", "FA40"})) == ()


@pytest.mark.parametrize(
    ("kind", "sets"),
    [
        ("pro", ("MPO", "FPO")),
        ("am", ("MA1", "FA1")),
        ("pro_am", ("MPO", "FPO", "MA1", "FA1")),
        ("pro_masters", ("MP40", "FP40")),
        ("am_masters", ("MA40", "FA40")),
        ("pro_am_masters", ("MP40", "FP40", "MA40", "FA40")),
        ("womens_pro", ("FPO",)),
        ("womens_am", ("FA1",)),
        ("womens_pro_am", ("FPO", "FA1")),
        ("juniors", ("MJ18", "FJ18")),
    ],
)
def test_what_an_a_tier_has_to_offer(kind: str, sets: tuple[str, ...]) -> None:
    """Competition Manual 2025, 5.09.B."""
    assert required_missing(RULES, kind, frozenset()) == sets
    assert required_missing(RULES, kind, frozenset(sets)) == ()
    assert required_missing(RULES, kind, frozenset(sets[1:])) == sets[:1]


@pytest.mark.parametrize(
    ("before", "cents"),
    [
        (timedelta(days=30), 9000),
        (timedelta(days=29), 5000),
        (timedelta(days=15), 5000),
        (timedelta(days=14), 2500),
        (timedelta(hours=49), 0),  # after the closing
        (timedelta(hours=48), 0),
    ],
)
def test_refund_boundaries_with_the_place_not_filled(before: timedelta, cents: int) -> None:
    """Competition Manual 2025, 1.03.C to F (boundaries derived); fee 100.00, handling fee 10.00."""
    found = refund(
        cause=Cause.WITHDRAWAL,
        fee_cents=10_000,
        event_start=START,
        received_at=START - before,
        closing_at=START - timedelta(days=7),
        rulebook=RULES,
    )

    assert found.options[0].cents == cents


def test_within_48_hours_nothing_even_without_a_published_closing() -> None:
    """Competition Manual 2025, 1.03.F (boundary derived)."""
    found = [
        refund(
            cause=Cause.WITHDRAWAL,
            fee_cents=10_000,
            event_start=START,
            received_at=START - timedelta(hours=hours),
            rulebook=RULES,
        )
        .options[0]
        .cents
        for hours in (49, 48)
    ]

    assert found == [2500, 0]


def test_the_temporary_fee_of_a_c_tier() -> None:
    """Competition Manual 2025, 5.05: 15 dollars; not for juniors. 6.03.A: no such fee outside North America."""
    guest, there = MemberFacts("none"), in_force(DAY, "elsewhere")

    assert membership(guest, tier="C", code="MA3", on=DAY, rulebook=RULES).fee_cents == 1500
    assert membership(guest, tier="C", code="MJ10", on=DAY, rulebook=RULES).fee_cents is None
    assert membership(guest, tier="B", code="MA3", on=DAY, rulebook=RULES).state == "missing"
    assert membership(guest, tier="B", code="MA3", on=DAY, rulebook=there).state == "not_needed"
