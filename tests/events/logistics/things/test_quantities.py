"""Quantities: worked examples, what is not known, and that a bigger field never needs less."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.logistics.things.change import float_for
from events.logistics.things.facts import (
    Assumptions,
    Course,
    DivisionField,
    Facts,
    KitPiece,
    LineField,
    Need,
    RoundField,
)
from events.logistics.things.quantities import needs_of

CHANGE = (1000, 500, 100, 25, 10, 5, 1)
BY = Assumptions(
    group_size=4,
    group_source="Competition Manual 2025, 1.06.G",
    spare_percent=10,
    pencils_each=1,
    flag_every_m=5,
    zone_markers=2,
    mandatory_signs=1,
    spotter_flags=2,
    hole_signs=1,
    heat_c=25,
    water=((-60, 250), (18, 400), (25, 600), (32, 900)),
    minutes_18_holes=240,
    trophies=((1, 0), (2, 1), (5, 2), (13, 3)),
    trophies_source="Competition Manual 2025, 2.06",
    depth_source="Competition Manual 2025, 5.04.B",
    depth_rule="prize.pro_depth_percent.C",
    cash_percent=50,
    note_cents=2000,
    change_cents=CHANGE,
    kit=(KitPiece("horn", "Horn", 2), KitPiece("coolers", "Coolers", 2, for_play=True)),
)
COURSE = Course(
    holes=18,
    undescribed=0,
    signs=18,
    zones=3,
    mandatories=2,
    spotter_holes=1,
    spotter_unknown=0,
    lines=(LineField("hole 4", "Pond", 0), LineField("hole 9", "Road", 42)),
)
FACTS = Facts(
    players=30,
    divisions=(
        DivisionField("MPO", 10, True, 40),
        DivisionField("MA1", 13, False),
        DivisionField("FA1", 7, False),
    ),
    rounds=(RoundField(1, 18), RoundField(2, 18)),
    cards="two",
    course=COURSE,
    helpers=6,
    heat_c=26,
    due_cents=(4500, 4500, 3000),
)


def money(cents: int) -> str:
    return f"{cents / 100:.2f}"


def needs(facts: Facts = FACTS, by: Assumptions = BY) -> dict[str, Need]:
    return {need.key: need for need in needs_of(facts, by, money)}


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("cards", 8 * 2 * 2),  # 30 players: 8 groups of four, two cards each, two rounds
        ("cards-spare", 4),  # a tenth of 32, rounded up
        ("pencils", 33),
        ("string", 47),  # 42 m and a tenth, rounded up; the pond needs none
        ("flags", 11),  # 10 flags at most 5 m apart over 42 m, and one spare
        ("hole-signs", 18),
        ("zone-markers", 6),
        ("mandatory-signs", 2),
        ("spotter-flags", 2),
        ("water", 173),  # 36 people, 8 hours, 0.6 litres: 172.8
        ("packs", 33),
        ("trophies", 3 + 2),  # 13 and 7 amateurs; no professionals in the table
        ("envelopes", 4),  # 40 % of 10
        ("kit-horn", 2),
    ],
)
def test_how_much_is_needed(key: str, expected: int) -> None:
    assert needs()[key].needed == expected


def test_every_line_shows_its_working_and_its_source() -> None:
    for need in needs().values():
        assert all((need.working, need.source, need.name)), need.key


@pytest.mark.parametrize(
    ("course", "keys"),
    [
        (replace(COURSE, lines=(*COURSE.lines, LineField("hole 2", "Lane", None))), {"string", "flags"}),
        (
            replace(COURSE, undescribed=2),
            {"string", "flags", "zone-markers", "mandatory-signs", "spotter-flags"},
        ),
        (replace(COURSE, spotter_unknown=1), {"spotter-flags"}),
        (
            Course(0, 0, 0, 0, 0, 0, 0, ()),
            {"string", "flags", "hole-signs", "zone-markers", "mandatory-signs", "spotter-flags"},
        ),
    ],
)
def test_what_is_not_known_is_not_nought(course: Course, keys: set[str]) -> None:
    found = needs(replace(FACTS, course=course))
    assert {key for key, need in found.items() if need.needed is None} == keys | {"first-aid"}
    assert all(found[key].lacks for key in keys)


BY_PLAYERS = {"cards", "cards-spare", "pencils", "water", "packs"}
BY_ROUNDS = ("cards", "cards-spare", "water", "kit-coolers")
BY_FIELD = {"trophies", "envelopes", "float"}  # which divisions, and what each owes


@pytest.mark.parametrize(
    ("facts", "lacks"),
    [
        ({"rounds": ()}, dict.fromkeys(BY_ROUNDS, "no round is planned yet")),
        (
            {"players": 0, "divisions": (), "due_cents": ()},
            dict.fromkeys(BY_PLAYERS, "nobody has entered; write how many")
            | dict.fromkeys(BY_FIELD, "nobody has entered"),
        ),
        ({"divisions": (), "due_cents": ()}, dict.fromkeys(BY_FIELD, "nobody has entered")),
    ],
)
def test_without_rounds_or_entries_nothing_is_nought(facts: dict[str, Any], lacks: dict[str, str]) -> None:
    found = needs(replace(FACTS, **facts))
    unknown = {key: need.lacks for key, need in found.items() if need.needed is None and key != "first-aid"}
    assert unknown == lacks


def test_without_rounds_and_entries_both_are_said() -> None:
    found = needs(replace(FACTS, rounds=(), players=0, divisions=()))
    assert found["cards"].lacks == "no round is planned yet and nobody has entered; write how many"


def test_packs_of_people_who_left_are_needed_besides() -> None:
    packs = needs(replace(FACTS, packs_gone=3))["packs"]
    assert packs.needed == 37  # 33 and a tenth, rounded up
    assert ("Left with theirs", "3") in packs.working


def test_a_tier_without_a_published_depth_has_no_envelopes_counted() -> None:
    undecided = replace(FACTS, divisions=(DivisionField("MPO", 10, True, None),))
    assert needs(undecided)["envelopes"].needed is None
    assert needs(undecided)["envelopes"].lacks == "no published depth for MPO"


def test_helpers_nobody_counted_are_said_to_be_missing() -> None:
    water = needs(replace(FACTS, helpers=None))["water"]
    assert ("Helpers", "not said: none counted") in water.working
    assert water.needed == 144


def test_the_float_gives_change_to_everybody_who_pays_in_cash() -> None:
    """45 paid with three notes of 20 takes 15 back, 30 takes 10: half of three, rounded up, are two."""
    found = float_for((4500, 4500, 3000), 50, 2000, CHANGE)
    assert (found.payers, found.left_cents) == (2, 0)
    assert {piece.cents: piece.count for piece in found.pieces if piece.count} == {1000: 2, 500: 2}


def test_change_that_no_coin_makes_is_said() -> None:
    assert float_for((4530,), 100, 2000, (1000, 500)).left_cents == 470
    (lacking,) = {
        need.lacks
        for key, need in needs(replace(FACTS, due_cents=(4530,)), replace(BY, change_cents=(1000,))).items()
        if key.startswith("float")
    }
    assert lacking == "no coin for 4.70 of change"


def test_nobody_owes_and_the_float_still_stands_there() -> None:
    assert needs(replace(FACTS, due_cents=()))["float"].needed == 0


FIELD = st.tuples(st.integers(0, 90), st.integers(0, 90), st.integers(0, 90))
DUE = st.lists(st.integers(1, 20_000), max_size=30)


@given(
    field=FIELD,
    more=st.tuples(st.integers(0, 20), st.integers(0, 20), st.integers(0, 20)),
    due=DUE,
    more_due=DUE,
    cards=st.sampled_from(["group", "two", "player"]),
    heat=st.integers(-30, 50),
    helpers=st.none() | st.integers(0, 60),
)
def test_quantities_never_fall_when_the_field_grows(
    field: tuple[int, int, int],
    more: tuple[int, int, int],
    due: list[int],
    more_due: list[int],
    cards: str,
    heat: int,
    helpers: int | None,
) -> None:
    def facts(sizes: tuple[int, ...], owed: list[int]) -> Facts:
        divisions = tuple(
            DivisionField(each.code, size, each.professional, each.depth_percent)
            for each, size in zip(FACTS.divisions, sizes, strict=True)
        )
        return replace(
            FACTS,
            players=sum(sizes),
            divisions=divisions,
            cards=cards,
            heat_c=heat,
            helpers=helpers,
            due_cents=tuple(owed),
        )

    small = needs(facts(field, due))
    large = needs(facts(tuple(a + b for a, b in zip(field, more, strict=True)), [*due, *more_due]))
    for key, need in small.items():
        if need.needed:
            assert large[key].needed is not None
            assert large[key].needed >= need.needed, key
