"""The sums, questions, faults, clocks and order of a card."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.cards.arithmetic import (
    CellChange,
    ImpossibleThrows,
    LineSum,
    Through,
    WrittenLine,
    absent,
    check_throws,
    due_at,
    from_start,
    line_changes,
    line_total,
    odd,
    through,
    total_question,
)

scores = st.lists(st.tuples(st.none() | st.integers(1, 12), st.integers(3, 6)), min_size=1, max_size=27)


def test_a_complete_line_is_its_holes_and_the_additional_penalties() -> None:
    assert line_total([3, 4, 2], [3, 3, 3], additional=2) == LineSum(11, 3, 9, 2, True)


def test_a_partial_line_is_measured_over_the_holes_played() -> None:
    assert line_total([3, None, 2], [3, 5, 3]) == LineSum(5, 2, 6, -1, False)


def test_a_line_without_a_score_has_no_total_even_with_a_penalty() -> None:
    assert line_total([None, None], [3, 3], additional=2) == LineSum(None, 0, 0, None, False)


def test_throws_and_pars_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError, match="shorter"):
        line_total([3, 3], [3])


@given(scores, st.integers(0, 4))
def test_a_blank_hole_adds_neither_throws_nor_par(line: list[tuple[int | None, int]], extra: int) -> None:
    played = [(throws, par) for throws, par in line if throws is not None]

    whole = line_total([t for t, _ in line], [p for _, p in line], extra)
    without = line_total([t for t, _ in played], [p for _, p in played], extra)

    assert (whole.total, whole.to_par, whole.par_played, whole.played) == (
        without.total,
        without.to_par,
        without.par_played,
        len(played),
    )


@pytest.mark.parametrize("throws", [1, 30])
def test_the_smallest_and_largest_possible_scores_pass(throws: int) -> None:
    assert check_throws(throws) == throws


@pytest.mark.parametrize("throws", [0, -1, 31])
def test_what_cannot_be_is_refused(throws: int) -> None:
    with pytest.raises(ImpossibleThrows) as refused:
        check_throws(throws)

    assert str(refused.value) == f"A hole score is between 1 and 30; {throws} cannot be."


@pytest.mark.parametrize(
    ("throws", "par", "question"),
    [
        (1, 3, None),
        (1, 4, "1 on a par 4: is that right?"),
        (6, 3, None),
        (7, 3, "7 on a par 3 is 4 over: is that right?"),
        (9, 6, None),
        (10, 7, "10 throws on one hole: is that right?"),
    ],
)
def test_unusual_scores_are_asked_about(throws: int, par: int, question: str | None) -> None:
    assert odd(throws, par) == question


@pytest.mark.parametrize(
    ("throws", "additional", "written", "question"),
    [
        ([3, 4], 0, 7, None),
        ([3, 4], 2, 9, None),
        ([3, 4], 2, 7, None),  # the table added the 2: they are not in the player's own total
        ([3, 4], 2, 8, "The card says 8, it adds up to 9: 1 too few."),
        ([3, 4], 0, 6, "The card says 6, it adds up to 7: 1 too few."),
        ([3, 4], 0, 9, "The card says 9, it adds up to 7: 2 too many."),
        ([3, 4], 0, None, "No total is written; the card adds up to 7."),
        ([3, None], 0, 7, "1 hole is blank; the total 7 cannot be checked."),
        ([3, None, None], 0, None, "2 holes are blank; no total is written."),
        ([None, None], 0, None, None),
    ],
)
def test_the_written_total_is_compared_before_saving(
    throws: list[int | None], additional: int, written: int | None, question: str | None
) -> None:
    assert total_question(throws, additional, written) == question


def test_an_absence_costs_par_and_the_extra() -> None:
    assert absent(5, 4) == 9


def test_differences_of_two_versions_are_named_cell_by_cell() -> None:
    before, after = WrittenLine((3, 4), 0, 7), WrittenLine((3, 5), 2, 10)

    assert line_changes("a", ["7", "4S"], before, after) == (
        CellChange("a", "4S", 4, 5),
        CellChange("a", "additional", None, 2),
        CellChange("a", "written total", 7, 10),
    )


def test_penalty_throws_are_cells_of_their_own_and_none_is_the_same_as_zero() -> None:
    before, after = WrittenLine((3, 4), penalties=(0, 1)), WrittenLine((3, 4), penalties=(None, 2))

    assert line_changes("a", ["1", "2"], before, after) == (CellChange("a", "2 penalty", 1, 2),)


def test_a_line_that_one_version_lacks_counts_as_blank() -> None:
    line = WrittenLine((3, None), 0, 3)

    assert line_changes("a", ["1", "2"], line, None) == (
        CellChange("a", "1", 3, None),
        CellChange("a", "written total", 3, None),
    )
    assert line_changes("a", ["1", "2"], None, WrittenLine((None, 2))) == (CellChange("a", "2", None, 2),)


def test_a_card_is_due_some_minutes_after_the_finish() -> None:
    finished = datetime(2025, 6, 7, 12, 0, tzinfo=UTC)

    assert due_at(finished, 30) == datetime(2025, 6, 7, 12, 30, tzinfo=UTC)


def test_a_clock_change_does_not_move_the_due_time() -> None:
    zone = ZoneInfo("Europe/Berlin")
    finished = datetime(2025, 10, 26, 2, 45, tzinfo=zone)  # clocks go back from 3:00 to 2:00

    due = due_at(finished, 30)

    assert due.astimezone(UTC) == datetime(2025, 10, 26, 1, 15, tzinfo=UTC)
    assert (due.hour, due.minute, due.fold) == (2, 15, 1)


def test_a_finish_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        due_at(datetime(2025, 6, 7, 12, 0), 30)  # noqa: DTZ001 - that is the fault


def test_holes_are_played_from_the_start_onward() -> None:
    assert from_start(5, 3) == (3, 4, 0, 1, 2)


@pytest.mark.parametrize("start", [-1, 5])
def test_a_start_outside_the_layout_is_refused(start: int) -> None:
    with pytest.raises(ValueError, match="not one of 5 holes"):
        from_start(5, start)


@pytest.mark.parametrize(
    ("throws", "expected"),
    [
        ([None, None, None, None], Through(0, 2, ())),
        ([None, None, 3, 3], Through(2, 0, ())),
        ([3, None, 3, None], Through(2, 1, (3,))),
        ([3, 3, 3, 3], Through(4, None, ())),
    ],
)
def test_progress_is_counted_in_the_order_of_play(throws: list[int | None], expected: Through) -> None:
    assert through(throws, start_position=2) == expected
