from fractions import Fraction

import pytest

from events.bags.spot_planner import CURVE_H, CURVE_W, BadPlan, percent, plan, throws_needed


def test_a_plan_says_what_the_sample_finds_once_and_over_the_rounds() -> None:
    made = plan(72, 8, 3, 3)
    assert [
        (line.offenders, line.asked, percent(line.once), percent(line.over_rounds), line.samples)
        for line in made.lines
    ] == [
        (1, False, "11.1 %", "29.8 %", (36, 58, 65, 69)),
        (2, False, "21.1 %", "50.9 %", (21, 40, 49, 56)),
        (3, True, "30.1 %", "65.9 %", (15, 30, 39, 45)),
        (5, False, "45.5 %", "83.8 %", (10, 20, 26, 32)),
        (8, False, "63.0 %", "94.9 %", (6, 13, 18, 22)),
    ]
    assert percent(made.to_be_drawn) == "29.8 %"
    assert made.asked.offenders == 3


def test_a_number_of_offenders_of_ones_own_stands_in_the_table_once() -> None:
    assert [line.offenders for line in plan(10, 2, 4, 1).lines] == [1, 2, 3, 4, 5, 8]
    assert [line.offenders for line in plan(2, 1, 2, 1).lines] == [1, 2]


def test_the_curve_runs_from_nothing_to_certainty_and_passes_through_the_plan() -> None:
    curve = plan(72, 8, 1, 3).curve
    points = [tuple(map(float, point.split(","))) for point in curve.points.split()]
    assert (points[0], points[-1], len(points)) == ((0.0, CURVE_H), (CURVE_W, 0.0), 73)
    assert points[8] == (curve.x, curve.y)
    assert [size for _, size in curve.ticks] == [0, 18, 36, 54, 72]


@pytest.mark.parametrize(
    "figures",
    [
        (0, 0, 1, 1),
        (501, 1, 1, 1),
        (10, 11, 1, 1),
        (10, -1, 1, 1),
        (10, 1, 0, 1),
        (10, 1, 11, 1),
        (10, 1, 1, 0),
        (10, 1, 1, 21),
    ],
)
def test_what_cannot_be_drawn_is_no_plan(figures: tuple[int, int, int, int]) -> None:
    with pytest.raises(BadPlan):
        plan(*figures)


def test_a_sample_of_nobody_finds_nobody() -> None:
    assert percent(plan(10, 0, 1, 3).asked.over_rounds) == "0.0 %"


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (Fraction(0), "0.0 %"),
        (Fraction(1), "100.0 %"),
        (Fraction(1, 10**6), "under 0.1 %"),
        (1 - Fraction(1, 10**6), "over 99.9 %"),
        (Fraction(1, 9), "11.1 %"),
    ],
)
def test_nearly_certain_is_not_certain(chance: Fraction, words: str) -> None:
    assert percent(chance) == words


@pytest.mark.parametrize(("pool", "count", "throws"), [(72, 8, 14), (72, 10, 16), (5, 1, 2), (5, 5, 1)])
def test_throws_hold_the_bits_that_the_draw_needs(pool: int, count: int, throws: int) -> None:
    """RFC 3797, 3.3: ⌈log2 C(pool, count)⌉ bits: 34, 39, 3 and 0; a throw holds log2 6 = 2.585."""
    assert throws_needed(pool, count) == throws
