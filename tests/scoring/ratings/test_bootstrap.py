"""Intervals by drawing the players anew."""

import numpy as np
import pytest

from build_ratings import FORMULA_2013, propagators
from scoring.ratings.bootstrap import draw, rating_intervals, seed_of
from scoring.ratings.propagators import Propagator

FIELD = [(760 + 9 * at, 78 - at + (at * 7) % 5) for at in range(25)]


def drawn(field: list[Propagator], proportion: int | None = 480, resamples: int = 400, seed: int = 11):  # type: ignore[no-untyped-def]
    return draw(field, scratch=1000, proportion=proportion, seed=seed, resamples=resamples, percent=95)


def test_a_draw_is_the_average_of_the_players_drawn() -> None:
    """Recomputed resample by resample with the same numbers, the line by numpy's own least squares."""
    field = sorted(FIELD)
    rng = np.random.Generator(np.random.PCG64(11))
    chosen = rng.integers(0, len(field), size=(400, len(field)))
    x, y = np.array([r for r, _ in field], float), np.array([s for _, s in field], float)

    shares = [y[row].mean() * 480 / (1480 - x[row].mean()) for row in chosen]
    lines = [np.polyfit(x[row] - 1000, y[row], 1)[1] for row in chosen]

    assert drawn(propagators(FIELD)).ssas == pytest.approx(np.array(shares), rel=1e-12)
    assert drawn(propagators(FIELD), None).ssas == pytest.approx(np.array(lines), rel=1e-9)


def test_the_same_seed_gives_the_same_interval_and_another_another() -> None:
    one, again, other = (drawn(propagators(FIELD), seed=seed) for seed in (3, 3, 4))

    assert one.ssa == again.ssa
    assert one.ssa != other.ssa
    assert seed_of("quiet-pines", "1-2") == seed_of("quiet-pines", "1-2") != seed_of("quiet-pines", "2-2")


def test_players_are_drawn_whole_with_all_their_rounds() -> None:
    """Every player twice with the same figures: the interval is that of the single rounds, no narrower."""
    single = propagators(FIELD)
    double = [
        Propagator(f"{each.key}-{number}", each.name, each.rating, each.score, each.key)
        for each in single
        for number in (1, 2)
    ]
    wide, same = drawn(single), drawn(double)

    assert same.ssas == pytest.approx(wide.ssas, rel=1e-12)


def test_draws_of_one_rating_have_no_line_and_are_left_out() -> None:
    field = propagators([(900, 70), (900, 66), (1000, 60)])

    found = drawn(field, None, resamples=1000)

    assert found.usable < found.resamples == 1000
    assert np.isfinite(found.ssas).all()


@pytest.mark.parametrize("field", [[], [(900, 70)], [(900, 70), (1000, 60)]])
def test_two_players_are_too_few_to_draw_from(field: list[tuple[int, int]]) -> None:
    assert drawn(propagators(field)) is None


def test_the_interval_of_a_rating_is_that_of_its_average_where_the_points_do_not_matter() -> None:
    """Whoever throws about the average: 1000 + (SSA - score) x points at both ends."""
    found = drawn(propagators(FIELD))
    low, high = found.ssa
    score = round((low + high) / 2)

    (span,) = rating_intervals(found, [score, score], FORMULA_2013, 18).values()

    for end, ssa in zip(span, (low, high), strict=True):
        points = 21.3858 - 0.225067 * ssa
        assert end == pytest.approx(1000 + (ssa - score) * points, abs=1.5)
    assert rating_intervals(found, [], FORMULA_2013, 18) == {}


def test_the_standard_error_is_the_spread_of_the_draws() -> None:
    found = drawn(propagators(FIELD))

    assert found.se == pytest.approx(float(np.std(found.ssas, ddof=1)))
