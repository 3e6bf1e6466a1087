"""The published divisions as objects, and which of them have to be there."""

from datetime import date

import pytest

from events.rulebook.divisions import (
    UnknownDivision,
    codes,
    division,
    divisions,
    mirrors_missing,
    must_run,
    required_missing,
    underserved,
)
from events.rulebook.loader import Rulebook, in_force
from events.rulebook.values import Override, UnknownRule

DAY = date(2025, 5, 3)


@pytest.fixture(name="rules")
def rules_fixture() -> Rulebook:
    return in_force(DAY, "north_america")


def test_sixty_codes_in_the_published_order(rules: Rulebook) -> None:
    found = codes(rules)

    assert (len(found), found[:3], found[-1]) == (60, ("MPO", "FPO", "MP40"), "RAG")
    assert [each.code for each in divisions(rules)] == list(found)


def test_a_division_says_its_rules(rules: Rulebook) -> None:
    open_pro, rated, junior = division(rules, "MPO"), division(rules, "FA3"), division(rules, "MJ08")

    assert (open_pro.professional, open_pro.rule) == (True, "open")
    assert (open_pro.age, open_pro.rating_below) == (None, None)
    assert (rated.professional, rated.gender, rated.rule, rated.rating_below) == (False, "f", "rating", 775)
    assert (junior.junior, junior.age, junior.name) == (True, 8, "Mixed Junior 8 and under")


def test_the_directors_cap_is_the_divisions_cap() -> None:
    rules = in_force(DAY, "north_america", {"division.rating_below.MA2": Override(950, "Series rule")})

    assert division(rules, "MA2").rating_below == 950


def test_a_cap_that_nobody_published_is_none(rules: Rulebook) -> None:
    assert (division(rules, "RAH").rule, division(rules, "RAH").rating_below) == ("rating", None)


def test_a_code_that_is_not_published_is_named(rules: Rulebook) -> None:
    with pytest.raises(UnknownDivision, match="MX9 is not a published division code"):
        division(rules, "MX9")


def test_no_code_or_name_stands_twice(rules: Rulebook) -> None:
    names = [each.name for each in divisions(rules)]

    assert len(names) == len(set(names))


@pytest.mark.parametrize(
    ("code", "expected"),
    [("MPO", False), ("FPO", True), ("MA40", False), ("MA50", True), ("MP80", True), ("MJ18", True)],
)
def test_under_served_divisions(rules: Rulebook, code: str, expected: bool) -> None:
    assert underserved(rules, code) is expected


@pytest.mark.parametrize(
    ("code", "eligible", "expected"),
    [("MA1", 3, False), ("MA1", 4, True), ("FA1", 0, False), ("FA1", 1, True), ("MA50", 1, True)],
)
def test_four_players_or_one_make_a_division_run(
    rules: Rulebook, code: str, eligible: int, expected: bool
) -> None:
    assert must_run(rules, code, eligible) is expected


def test_mirrors_missing_are_in_published_order_and_only_of_mixed_divisions_that_have_one(
    rules: Rulebook,
) -> None:
    assert mirrors_missing(rules, frozenset({"MA40", "MPO", "FPO", "RAH", "FA3"})) == ("FA40",)
    assert mirrors_missing(rules, frozenset({"MJ06", "MPO"})) == ("FPO", "FJ06")


def test_a_kind_of_event_that_the_manual_does_not_name(rules: Rulebook) -> None:
    with pytest.raises(UnknownRule):
        required_missing(rules, "mixed_doubles", frozenset())
