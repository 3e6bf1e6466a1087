"""Ratings in bulk, beside numpy's own least squares on the same arrays: `python tests/bench/ratings.py`.

10,000 players on 100 layouts, each pool fitted exactly and rated with 1,000 resamples. Reports the fit against
`numpy.linalg.lstsq` in the same run, the growth from 10 to 100 layouts, and the peak of memory. Nothing here fails on
a time: the figures are to be read.
"""

import resource
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from events.rulebook.loader import in_force
from events.rulebook.values import ELSEWHERE
from scoring.ratings.estimate import rate_round
from scoring.ratings.line import least_squares
from scoring.ratings.propagators import Played
from scoring.ratings.round_rating import Choice, Wanted
from scoring.ratings.rules import constants_from, rules_from

LAYOUTS, PLAYERS = 100, 100
FIRST_DAY = date(2026, 6, 12)
ROUNDS = 7  # of each measure; the median counts


def fields(layouts: int) -> list[list[Played]]:
    rng = np.random.default_rng(7)
    pools = []
    for layout in range(layouts):
        ratings = rng.integers(760, 1040, PLAYERS)
        scores = np.round((52 + layout % 14) * (1 + (1000 - ratings) / 480) + rng.normal(0, 3, PLAYERS))
        pools.append(
            [
                Played(str(at), f"Player {at}", int(score), int(rating), 20, date(2026, 5, 12))
                for at, (rating, score) in enumerate(zip(ratings, scores, strict=True))
            ]
        )
    return pools


def timed(work: Callable[[], object]) -> float:
    """Median seconds over ROUNDS runs."""
    found = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return median(found)


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


def main() -> None:
    pools = fields(LAYOUTS)
    pairs = [
        (np.array([each.rating for each in pool]), np.array([each.score for each in pool])) for pool in pools
    ]
    arrays = [
        (np.column_stack([np.ones(len(x)), np.asarray(x, float) - 1000]), np.asarray(y, float))
        for x, y in pairs
    ]
    ours = timed(lambda: [least_squares(x, y) for x, y in pairs])
    theirs = timed(lambda: [np.linalg.lstsq(design, y, rcond=None) for design, y in arrays])
    say(
        f"fit of {LAYOUTS} layouts: {ours * 1e3:.1f} ms exact, {theirs * 1e3:.1f} ms numpy: {ours / theirs:.2f} times"
    )

    book = in_force(FIRST_DAY, ELSEWHERE)
    rules, constants = rules_from(book), constants_from(book)

    def rate(count: int, choice: Choice) -> None:
        for at, pool in enumerate(pools[:count]):
            rate_round(
                pool,
                rules=rules,
                constants=constants,
                first_day=FIRST_DAY,
                holes=18,
                wanted=Wanted(choice),
                seed=at,
            )

    for choice in (Choice.LINE, Choice.PROPORTIONAL):
        few, many = timed(lambda c=choice: rate(LAYOUTS // 10, c)), timed(lambda c=choice: rate(LAYOUTS, c))
        say(
            f"{choice}: {LAYOUTS * PLAYERS} players with {rules.resamples} resamples a layout in {many:.2f} s;"
            f" ten times the layouts took {many / few:.1f} times as long"
        )
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    say(f"peak of memory: {megabytes:.0f} MB")


if __name__ == "__main__":
    main()
