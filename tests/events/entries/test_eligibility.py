"""Who may enter which division, and what the verdict says where a fact is missing."""

from datetime import date

import pytest

from events.entries.eligibility import (
    EventFacts,
    PersonFacts,
    check,
    competition_age,
    divisions_for,
    pro_caps,
)
from events.rulebook.divisions import codes
from events.rulebook.loader import Rulebook, in_force
from events.rulebook.values import Override

YEAR = 2025
C_TIER = EventFacts(tier="C", year=YEAR)
MAJOR = EventFacts(tier="major", year=YEAR)


@pytest.fixture(name="rules")
def rules_fixture() -> Rulebook:
    return in_force(date(YEAR, 5, 3), "north_america")


def am(age: int | None = 30, *, f: bool | None = False, rating: int | None = 880) -> PersonFacts:
    return PersonFacts("am", None if age is None else YEAR - age, f, rating)


def pro(age: int | None = 30, *, f: bool | None = False, rating: int | None = 960) -> PersonFacts:
    return PersonFacts("pro", None if age is None else YEAR - age, f, rating)


def eligible(person: PersonFacts, code: str, rules: Rulebook, event: EventFacts = C_TIER) -> bool | None:
    return check(person, code, event, rules).eligible


class TestDivision:
    def test_that_is_not_published_is_refused(self, rules: Rulebook) -> None:
        verdict = check(am(), "MX9", C_TIER, rules)

        assert (verdict.eligible, verdict.words) == (False, "MX9 is not a published division code.")

    def test_that_is_not_offered_is_refused(self, rules: Rulebook) -> None:
        event = EventFacts("C", YEAR, offered=frozenset({"MPO"}))

        assert check(am(), "MA1", event, rules).words == "MA1 is not offered at this event."
        assert eligible(am(), "MPO", rules, event) is True


class TestGender:
    def test_mixed_divisions_are_open_to_all(self, rules: Rulebook) -> None:
        assert [eligible(am(f=f), "MA1", rules) for f in (True, False, None)] == [True, True, True]

    def test_f_divisions_ask_for_eligibility(self, rules: Rulebook) -> None:
        assert [eligible(am(f=f), "FA1", rules) for f in (True, False, None)] == [True, False, None]

    def test_the_missing_fact_is_named_with_its_mend(self, rules: Rulebook) -> None:
        (reason,) = check(am(f=None), "FA1", C_TIER, rules).reasons

        assert (reason.severity, reason.mend) == ("unknown", "Ask the player and record it.")
        assert reason.source == "Competition Manual 2025, 2.01.C, D; 2.02.I"


class TestAge:
    @pytest.mark.parametrize(
        ("age", "code", "expected"),
        [
            (39, "MA40", False),
            (40, "MA40", True),
            (80, "MA40", True),
            (12, "MJ12", True),
            (13, "MJ12", False),
            (8, "MJ18", True),
            (None, "MA40", None),
            (None, "MJ12", None),
            (None, "MA1", True),
        ],
    )
    def test_counts_by_calendar_year(
        self, rules: Rulebook, age: int | None, code: str, expected: bool | None
    ) -> None:
        assert eligible(am(age), code, rules) is expected

    def test_reasons_are_plain(self, rules: Rulebook) -> None:
        assert check(am(39), "MA40", C_TIER, rules).words == (
            "Mixed Amateur 40+ is for players of 40 or older in 2025; this player counts as 39."
        )
        assert check(am(13), "MJ12", C_TIER, rules).words == (
            "Mixed Junior 12 and under is for players of 12 or younger in 2025; this player counts as 13."
        )
        assert check(am(None), "MA40", C_TIER, rules).words == (
            "Mixed Amateur 40+ is for players of 40 or older in 2025; the birth year is missing. "
            "Ask for the birth year."
        )

    def test_competition_age_is_the_age_reached_in_the_year(self) -> None:
        assert competition_age(1985, 2025) == 40


class TestClass:
    def test_an_amateur_may_enter_a_professional_division_and_hears_about_cash(self, rules: Rulebook) -> None:
        verdict = check(am(), "MPO", C_TIER, rules)

        assert verdict.eligible is True
        assert [(r.severity, r.text) for r in verdict.reasons] == [
            ("note", "An amateur who takes cash here becomes a professional.")
        ]
        assert verdict.words == ""
        assert check(am(), "MPO", EventFacts("league", YEAR), rules).reasons == ()
        assert [r.severity for r in check(am(), "MPO", EventFacts("A", YEAR), rules).reasons] == ["note"]

    def test_a_professional_never_enters_a_junior_division(self, rules: Rulebook) -> None:
        verdict = check(pro(16, rating=700), "MJ18", C_TIER, rules)

        assert (verdict.eligible, verdict.words) == (False, "Professionals never enter junior divisions.")

    @pytest.mark.parametrize(
        ("tier", "expected"),
        [("A", True), ("B", True), ("C", True), ("league", True), ("elite", False), ("major", False)],
    )
    def test_a_professional_below_the_cap_enters_amateur_divisions_at_some_tiers(
        self, rules: Rulebook, tier: str, expected: bool
    ) -> None:
        assert eligible(pro(rating=900), "MA1", rules, EventFacts(tier, YEAR)) is expected

    def test_the_cap_follows_the_player_and_not_the_division(self, rules: Rulebook) -> None:
        assert eligible(pro(f=True, rating=874), "MA1", rules) is True
        assert eligible(pro(f=True, rating=875), "MA1", rules) is False
        assert eligible(pro(f=False, rating=875), "MA1", rules) is True

    def test_without_age_or_gender_only_the_clear_cases_are_decided(self, rules: Rulebook) -> None:
        vague = [pro(None, f=None, rating=rating) for rating in (719, 720, 969, 970)]

        assert [eligible(person, "MA1", rules) for person in vague] == [True, None, None, False]
        assert check(vague[1], "MA1", C_TIER, rules).words == (
            "A professional may enter an amateur division with a rating below 720 to 970 (by age and gender); "
            "this rating is 720. Record the birth year and whether F divisions are open."
        )
        assert pro_caps(pro(45, f=None), YEAR, rules) == {920, 820}

    def test_a_professional_without_a_known_rating_is_not_decided(self, rules: Rulebook) -> None:
        assert check(pro(rating=None), "MA1", C_TIER, rules).words == (
            "A professional may enter an amateur division with a rating below 970; no rating is known. "
            "Look the rating up."
        )

    def test_an_unknown_class_is_asked_for_in_amateur_divisions_only(self, rules: Rulebook) -> None:
        nobody = PersonFacts(birth_year=1990, may_enter_f=False, rating=880)

        assert eligible(nobody, "MA1", rules) is None
        assert eligible(nobody, "MPO", rules) is True


class TestRating:
    @pytest.mark.parametrize(("rating", "expected"), [(899, True), (900, False), (None, None)])
    def test_lies_below_the_cap(self, rules: Rulebook, rating: int | None, expected: bool | None) -> None:
        assert eligible(am(rating=rating), "MA3", rules) is expected

    def test_reasons_carry_how_far_the_cap_is_to_be_trusted(self, rules: Rulebook) -> None:
        (reason,) = check(am(rating=900), "MA3", C_TIER, rules).reasons

        assert reason.text == "Mixed Amateur 3 is for ratings below 900; this rating is 900."
        assert reason.source == "Competition Manual 2025, division tables, page not read (memory)"

    def test_an_unknown_rating_does_not_matter_where_no_cap_is(self, rules: Rulebook) -> None:
        assert eligible(am(rating=None), "MA1", rules) is True

    def test_a_cap_that_nobody_published_decides_nothing_until_the_director_sets_it(
        self, rules: Rulebook
    ) -> None:
        ours = in_force(
            date(YEAR, 5, 3), "north_america", {"division.rating_below.RAH": Override(970, "Ours")}
        )

        assert eligible(am(rating=880), "RAH", rules) is None
        assert eligible(am(rating=880), "RAH", ours) is True

    def test_at_a_major_the_open_divisions_ask_for_a_rating(self, rules: Rulebook) -> None:
        people = [pro(rating=rating) for rating in (935, 934, None)]

        assert [eligible(person, "MPO", rules, MAJOR) for person in people] == [True, False, None]
        assert eligible(people[1], "MPO", rules) is True
        assert check(people[1], "MPO", MAJOR, rules).words == (
            "Mixed Pro Open asks for a rating of at least 935 at this tier (Major); this rating is 934."
        )

    def test_every_reason_against_is_told_not_only_the_first(self, rules: Rulebook) -> None:
        verdict = check(pro(39, rating=980), "FA40", C_TIER, rules)

        assert [reason.severity for reason in verdict.reasons] == ["refuse", "refuse", "refuse"]

    def test_a_refusal_outweighs_what_is_not_known(self, rules: Rulebook) -> None:
        assert eligible(am(39, f=None), "FA40", rules) is False


class TestDivisionsFor:
    def test_lists_what_the_player_may_enter_in_published_order(self, rules: Rulebook) -> None:
        event = EventFacts("C", YEAR, offered=frozenset({"MA40", "MA1", "FA1", "MA3", "MPO", "MJ18"}))

        choices = divisions_for(am(41, rating=880), event, rules)

        assert [(each.code, each.name) for each in choices] == [
            ("MPO", "Mixed Pro Open"),
            ("MA1", "Mixed Amateur 1"),
            ("MA3", "Mixed Amateur 3"),
            ("MA40", "Mixed Amateur 40+"),
        ]

    def test_may_add_what_hangs_on_a_missing_fact(self, rules: Rulebook) -> None:
        event = EventFacts("C", YEAR, offered=frozenset({"MA40", "MA1", "MJ18"}))

        sure = divisions_for(am(None), event, rules)
        perhaps = divisions_for(am(None), event, rules, include_unknown=True)

        assert [each.code for each in sure] == ["MA1"]
        assert [(each.code, each.verdict.eligible) for each in perhaps] == [
            ("MA1", True),
            ("MA40", None),
            ("MJ18", None),
        ]

    def test_agrees_with_check_for_every_published_division(self, rules: Rulebook) -> None:
        person = am(52, f=True, rating=770)

        listed = {each.code for each in divisions_for(person, C_TIER, rules)}

        assert listed == {code for code in codes(rules) if check(person, code, C_TIER, rules).eligible}
        assert {"FA3", "FA50", "MA4", "FPO"} <= listed
        assert listed.isdisjoint({"FA4", "FA55", "FJ18"})
