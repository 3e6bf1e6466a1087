"""Typed lines and imported rows of scores."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.cards.reading import (
    CellProblem,
    RowReading,
    UnreadableThrows,
    penalty_text,
    score_row,
    typed,
    typed_cell,
    typed_penalties,
)

lines = st.lists(st.none() | st.integers(1, 30), min_size=2, max_size=27)


@pytest.mark.parametrize(
    ("text", "throws"),
    [
        ("334", (3, 3, 4)),
        ("33.104", (3, 3, 10, 4)),
        (".10", (10,)),
        ("3-4", (3, None, 4)),
        ("3 3 10", (3, 3, 10)),
        ("3, .10 ,4", (3, 10, 4)),
        ("3,,4", (3, None, 4)),
        ("3;3;", (3, 3, None)),
        ("3\t\t4", (3, None, 4)),
        ("3 - 4", (3, None, 4)),
        ("", ()),
    ],
)
def test_both_ways_of_typing_are_read(text: str, throws: tuple[int | None, ...]) -> None:
    assert typed(text) == throws


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("3x4", "Cannot read 'x' at place 2."),
        ("33.1", "Cannot read '.' at place 3."),
        ("304", "At place 2: A hole score is between 1 and 30; 0 cannot be."),
        ("334 343", "At place 1: A hole score is between 1 and 30; 334 cannot be."),
        ("3 3.5", "“3.5” at place 2 is not a score."),
    ],
)
def test_what_cannot_be_read_is_named_by_its_place(text: str, message: str) -> None:
    with pytest.raises(UnreadableThrows) as refused:
        typed(text)

    assert str(refused.value) == message


@given(lines)
def test_a_line_written_either_way_reads_back(line: list[int | None]) -> None:
    run = "".join("-" if t is None else str(t) if t < 10 else f".{t}" for t in line)
    listed = ",".join("" if t is None else str(t) for t in line)

    assert typed(run) == tuple(line)
    assert typed(listed) == tuple(line)


def test_cells_as_spreadsheets_hold_them_are_read() -> None:
    cells = [3, 3.0, "4", " 10 ", "3.0", None, "", "-", "\xa05"]

    assert score_row(cells, 11) == RowReading((3, 3, 4, 10, 3, None, None, None, 5, None, None), ())


def test_every_problem_of_a_row_is_named() -> None:
    reading = score_row([0, "DNF", 3.5, True, 31, 3, 4], 6)

    assert reading.throws == (None, None, None, None, None, 3)
    assert reading.problems == (
        CellProblem(0, "0", "A hole score is between 1 and 30; 0 cannot be."),
        CellProblem(1, "DNF", "“DNF” is not a whole number of throws."),
        CellProblem(2, "3.5", "“3.5” is not a whole number of throws."),
        CellProblem(3, "True", "True is not a score."),
        CellProblem(4, "31", "A hole score is between 1 and 30; 31 cannot be."),
        CellProblem(6, "4", "There is no hole 7: the layout has 6."),
    )


def test_blank_cells_after_the_last_hole_do_no_harm() -> None:
    assert score_row([3, 4, None, ""], 2) == RowReading((3, 4), ())


@pytest.mark.parametrize(
    ("text", "score"),
    [("", None), (" - ", None), ("4", 4), ("10", 10), (".10", 10), ("a", 7), ("A", 7), ("30", 30)],
)
def test_a_cell_is_read_as_it_is_typed(text: str, score: int | None) -> None:
    assert typed_cell(text, absent=7) == score


@pytest.mark.parametrize("text", ["0", "31", "4.5", "x", "..5", "٣"])
def test_a_cell_that_is_no_score_is_refused(text: str) -> None:
    with pytest.raises(UnreadableThrows):
        typed_cell(text, absent=7)


LABELS = ["1", "4S", "12B", "15", "2x"]


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("", (0, 0, 0, 0, 0)),
        ("15 4s×2", (0, 2, 0, 1, 0)),
        ("12B:3, 1*2;15", (2, 0, 3, 1, 0)),
        ("15 15", (0, 0, 0, 2, 0)),
        ("2x", (0, 0, 0, 0, 1)),
        ("2xx2", (0, 0, 0, 0, 2)),
    ],
)
def test_penalty_throws_by_hole_label(text: str, counts: tuple[int, ...]) -> None:
    assert typed_penalties(text, LABELS) == counts


def test_a_penalty_on_no_hole_is_named() -> None:
    with pytest.raises(UnreadableThrows, match="Penalty “16” names no hole"):
        typed_penalties("15 16", LABELS)


@given(st.lists(st.integers(0, 29), min_size=5, max_size=5))
def test_written_penalties_are_read_back(counts: list[int]) -> None:
    assert typed_penalties(penalty_text(counts, LABELS), LABELS) == tuple(counts)
