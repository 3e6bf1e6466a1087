"""What breaches come to: warnings within a round, one penalty for one throw, holes not played."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rulebook.loader import in_force
from scoring.penalties.catalogue import CHAPTERS, HOLE, Penalty, catalogue
from scoring.penalties.counting import (
    NOBODY_COMBINES,
    Earlier,
    Proposal,
    combines,
    comes_to,
    not_played,
    propose,
)
from scoring.penalties.questions import Found

ROWS = catalogue(in_force(date(2025, 6, 7), "north_america"), "A")
LADDERS = [key for key, row in ROWS.items() if row.warnings]
COMBINED = [key for key, row in ROWS.items() if combines(row)]


def proposed(*keys: str, earlier: dict[str, Earlier] | None = None) -> Proposal:
    """Rules that one throw broke, in this order."""
    return propose([Found((key,)) for key in keys], ROWS, earlier or {}, hole="7", start_hole="4")


def a_round(key: str, breaches: int) -> list[tuple[bool, int]]:
    """(warning, throws) of each breach of one rule in one round, one after the other."""
    said = Earlier()
    found = []
    for _ in range(breaches):
        part = comes_to(ROWS[key], said, "7", "4")
        found.append((part.warning, part.throws))
        said = Earlier(said.warnings + part.warning, said.penalties + bool(part.throws))
    return found


@pytest.mark.parametrize("key", ["penalty.excessive_time", "penalty.marking", "penalty.courtesy_help"])
def test_a_warning_comes_first_and_every_further_breach_costs_a_throw(key: str) -> None:
    assert a_round(key, 4) == [(True, 0), (False, 1), (False, 1), (False, 1)]


def test_what_counts_once_a_round_is_written_once() -> None:
    assert a_round("start.early_throw_throws", 4) == [(True, 0), (False, 1), (False, 0), (False, 0)]
    assert a_round("penalty.non_sequential", 3) == [(False, 2), (False, 0), (False, 0)]


@given(st.sampled_from(sorted(ROWS)), st.lists(st.integers(0, 5), min_size=1, max_size=4))
def test_warnings_never_carry_over(key: str, rounds: list[int]) -> None:
    """Each round begins afresh: what a round comes to depends on its own breaches only."""
    longest = a_round(key, 5)
    for breaches in rounds:
        found = a_round(key, breaches)
        assert found == longest[:breaches]
        assert sum(warning for warning, _ in found) == min(breaches, ROWS[key].warnings)


@given(st.lists(st.sampled_from(sorted(COMBINED)), min_size=1, max_size=4), st.data())
def test_one_throw_has_one_penalty_the_heaviest_or_the_first_of_equals(
    keys: list[str], data: st.DataObject
) -> None:
    warned = {key: Earlier(warnings=data.draw(st.integers(0, 1))) for key in LADDERS}
    alone = {key: proposed(key, earlier=warned).throws for key in keys}

    found = proposed(*keys, earlier=warned)

    assert found.throws == max(alone.values())
    warnings = {key for key in keys if ROWS[key].warnings and not warned[key].warnings}
    costing = [key for key in keys if key not in warnings]
    heaviest = [next(key for key in costing if alone[key] == found.throws)] if costing else []
    assert [part.penalty.key for part in found.parts if not part.warning] == heaviest
    assert {part.penalty.key for part in found.parts if part.warning} == warnings
    assert {part.penalty.key for part in (*found.parts, *found.outweighed)} == set(keys)


def test_a_warning_is_said_besides_and_nothing_outweighs_it() -> None:
    """A lie marked wrongly for the first time, and out of bounds with the same throw: the next time it costs one."""
    first = proposed("penalty.marking", "penalty.out_of_bounds")
    again = proposed(
        "penalty.marking", "penalty.out_of_bounds", earlier={"penalty.marking": Earlier(warnings=1)}
    )

    assert [(part.penalty.key, part.throws, part.warning) for part in first.parts] == [
        ("penalty.out_of_bounds", 1, False),
        ("penalty.marking", 0, True),
    ]
    assert (again.throws, again.warning, len(again.outweighed)) == (1, False, 1)


def test_throws_of_different_throws_add_up() -> None:
    found = propose(
        [Found(("penalty.failure_to_hole_out", "penalty.unfinished_hole_throw"))],
        ROWS,
        {},
        hole="7",
        start_hole="4",
    )

    assert (found.throws, [part.hole for part in found.parts]) == (3, ["7", "7"])


@pytest.mark.parametrize(
    ("key", "hole"),
    [("penalty.stance", "7"), ("starter.late_throws", "4"), ("card.late_throws", "")],
)
def test_throws_are_written_where_the_catalogue_says(key: str, hole: str) -> None:
    assert proposed(key).parts[0].hole == hole


@pytest.mark.parametrize(
    "key",
    [
        "card.late_throws",
        "penalty.lost_disc_taken",
        "penalty.wrong_hole",
        "penalty.courtesy_distracting",
        "penalty.excessive_time",
        "penalty.damage",
    ],
)
def test_what_is_no_matter_of_one_throw_is_not_weighed_against_others(key: str) -> None:
    with pytest.raises(ValueError, match=f"^{NOBODY_COMBINES}$"):
        proposed("penalty.stance", key)


def test_nothing_found_and_holes_not_played_are_no_rulings() -> None:
    with pytest.raises(ValueError, match=r"^Nothing was found\.$"):
        proposed()
    with pytest.raises(ValueError, match=r"^A hole that was not played is scored, not ruled\.$"):
        proposed("play.absence_throws_over_par")


def test_a_proposal_without_throws_or_warning_is_nothing() -> None:
    stands = {"penalty.non_sequential": Earlier(penalties=1)}

    assert proposed("penalty.non_sequential", earlier=stands).nothing
    assert not proposed("penalty.courtesy").nothing
    assert not proposed("penalty.lost_disc_taken").nothing


@given(
    st.lists(st.tuples(st.integers(2, 6), st.none() | st.integers(1, 12)), min_size=1, max_size=27),
    st.data(),
)
def test_holes_not_played_are_par_and_four_however_many(
    holes: list[tuple[int, int | None]], data: st.DataObject
) -> None:
    layout = [(str(number), par, written) for number, (par, written) in enumerate(holes, start=1)]
    missed = data.draw(st.sets(st.sampled_from([label for label, _, _ in layout])))

    found = not_played(layout, sorted(missed, reverse=True), 4)

    assert [each.label for each in found] == [label for label, _, _ in layout if label in missed]
    assert all(each.score == each.par + 4 for each in found)
    assert [each.written for each in found] == [w for label, _, w in layout if label in missed]


@pytest.mark.parametrize(
    ("throws", "warnings", "booked", "words"),
    [
        (1, 0, HOLE, "+1"),
        (1, 1, HOLE, "warning, then +1"),
        (-2, 0, HOLE, "\N{MINUS SIGN}2"),
        (0, 0, HOLE, "no throws"),
        (4, 0, "each hole not played", "par + 4"),
    ],
)
def test_figures_in_words(throws: int, warnings: int, booked: str, words: str) -> None:
    row = Penalty("x", "X", CHAPTERS[0], throws, booked, "", "", warnings)

    assert row.figure == words
