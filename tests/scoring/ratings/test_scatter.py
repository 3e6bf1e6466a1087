from fractions import Fraction

import pytest

from scoring.ratings.propagators import Played
from scoring.ratings.scatter import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, scatter


def played(key: str, rating: int | None, score: int | None) -> Played:
    return Played(key, f"Player {key}", score, rating, 20, None)


FIELD = [played("a", 900, 70), played("b", 1000, 60), played("c", 950, 64)]


def draw(field: list[Played], slope: Fraction | None = None, intercept: Fraction | None = None):  # type: ignore[no-untyped-def]
    return scatter(field, frozenset({"a"}), slope=slope, intercept=intercept)


def test_dots_lie_by_rating_and_score_and_say_whether_they_count() -> None:
    found = draw(FIELD)
    assert [(dot.x < found.dots[2].x, dot.y < found.dots[2].y, dot.counts) for dot in found.dots[:2]] == [
        (True, True, True),
        (False, False, False),
    ]
    assert found.dots[0].title == "Player a: 900, 70 throws"
    assert found.line is None


def test_everything_stays_in_the_frame() -> None:
    found = draw(FIELD, Fraction(-1), Fraction(1000))
    ends = [(found.line.x1, found.line.y1), (found.line.x2, found.line.y2)]
    for x, y in [*((dot.x, dot.y) for dot in found.dots), *ends]:
        assert LEFT <= x <= WIDTH - RIGHT
        assert TOP <= y <= HEIGHT - BOTTOM


def test_a_line_through_two_players_meets_both() -> None:
    found = draw(FIELD[:2], Fraction(-1, 10), Fraction(160))
    (first, second), line = found.dots, found.line
    rise = (line.y2 - line.y1) / (line.x2 - line.x1)
    for dot in (first, second):
        assert line.y1 + rise * (dot.x - line.x1) == pytest.approx(dot.y, abs=0.5)


def test_a_level_line_stays_level() -> None:
    line = draw(FIELD, Fraction(0), Fraction(65)).line
    assert line.y1 == line.y2


@pytest.mark.parametrize("field", [[], FIELD[:1], [played("a", 900, None), played("b", None, 60)]])
def test_nothing_is_drawn_of_fewer_than_two(field: list[Played]) -> None:
    assert draw(field) is None


def test_axes_have_few_labels() -> None:
    found = draw([played("a", 300, 40), played("b", 1150, 140)])
    assert len(found.ratings) <= 9
    assert len(found.scores) <= 9
