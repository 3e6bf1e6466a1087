"""The drawing of scores over ratings."""

import pytest

from build_ratings import FIRST_DAY, FORMULA_2013, RULES, played
from scoring.ratings.estimate import rate_round
from scoring.ratings.propagators import Played
from scoring.ratings.residuals import lying
from scoring.ratings.round_rating import Choice, Wanted
from scoring.ratings.scatter import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Scatter, scatter

POOL = [played(str(at), 800 + 8 * at, 80 - at + (at % 3)) for at in range(30)]


def drawn(pool: list[Played], choice: Choice = Choice.LINE, seed: int | None = 5) -> Scatter | None:
    rated = rate_round(
        pool,
        rules=RULES,
        constants=FORMULA_2013,
        first_day=FIRST_DAY,
        holes=18,
        wanted=Wanted(choice),
        seed=seed,
    )
    strange = lying(rated, scratch=1000, proportion=RULES.proportion, outlier=RULES.outlier)
    return scatter(pool, rated, strange, scratch=1000, proportion=RULES.proportion)


@pytest.mark.parametrize("choice", [Choice.LINE, Choice.PROPORTIONAL])
def test_everything_lies_within_the_frame(choice: Choice) -> None:
    found = drawn([*POOL, played("new", None, 70), played("strange", 930, 99)], choice)
    assert found is not None
    points = [(dot.x, dot.y) for dot in found.dots] + list(found.band)
    assert found.line is not None
    points += [(found.line.x1, found.line.y1), (found.line.x2, found.line.y2)]
    assert len(found.dots) == 31  # nobody without a rating
    assert all(LEFT <= x <= WIDTH - RIGHT and TOP <= y <= HEIGHT - BOTTOM for x, y in points)


def test_better_is_to_the_right_and_more_throws_are_higher_up() -> None:
    found = drawn([played("a", 850, 75), played("b", 950, 62), played("c", 1000, 60)])
    assert found is not None
    a, b, _ = found.dots
    assert (a.x < b.x, a.y < b.y) == (True, True)
    assert (a.counts, a.title) == (True, "Name a: 850, 75 throws")


def test_the_average_is_marked_at_1000_though_nobody_is_rated_so_high() -> None:
    found = drawn([played(str(at), 800 + 5 * at, 80 - at // 3) for at in range(10)])
    assert found is not None
    assert found.scratch is not None
    assert found.ratings[-1].label == "1050"  # room for the words
    assert found.scratch.x == found.ratings[-2].at < WIDTH - RIGHT
    assert found.scratch.title.startswith("SSA ")


def test_the_line_has_a_wider_interval_at_its_ends_than_in_its_middle() -> None:
    found = drawn(POOL)
    assert found is not None
    half = len(found.band) // 2
    widths = [
        low[1] - high[1] for high, low in zip(found.band[:half], reversed(found.band[half:]), strict=True)
    ]
    inside = [width for width in widths if width]  # where it leaves the frame it is cut to nothing
    assert 0 < inside.index(min(inside)) < len(inside) - 1
    assert max(inside) > 1.2 * min(inside) > 0
    assert found.polygon.count(",") == len(found.band)


def test_outliers_are_named_beside_each_other_and_in_words() -> None:
    found = drawn([*POOL, played("up", 930, 99), played("too", 931, 98)])
    assert found is not None
    assert {name.text for name in found.names} <= {"Name up", "Name too"}
    assert len({name.y for name in found.names}) == len(found.names) > 0
    assert "Outliers: Name up (930, 99)" in found.label


def test_a_name_at_the_edge_stands_to_the_left() -> None:
    pool = [played(str(at), 800 + 8 * at, 80 - at + (at % 3)) for at in range(25)]
    found = drawn([*pool, played("right", 1049, 99)])
    assert found is not None
    assert [(name.text, name.end) for name in found.names] == [("Name right", True)]


def test_a_refused_pool_is_drawn_without_a_line() -> None:
    found = drawn([played("a", 600, 70), played("b", 650, 68)])
    assert found is not None
    assert (found.line, found.band, found.scratch, found.dots[0].counts) == (None, (), None, False)


@pytest.mark.parametrize("pool", [[], POOL[:1], [played("a", None, 70), played("b", 900, None)]])
def test_fewer_than_two_are_no_drawing(pool: list[Played]) -> None:
    assert drawn(pool) is None


def test_equal_scores_still_have_a_frame() -> None:
    found = drawn([played("a", 900, 60), played("b", 950, 60)], Choice.PROPORTIONAL)
    assert found is not None
    assert len(found.scores) >= 2
