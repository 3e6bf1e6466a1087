"""What a spot check of a given size would find, as a plan shows it. Pure.

It is deterrence: a clean sample absolves nobody.
"""

from dataclasses import dataclass
from fractions import Fraction

from events.bags.detection import chance_over_rounds, chance_to_be_drawn, chance_to_find, sample_for
from events.bags.spot_draw import bits_needed, bits_of_throws

LARGEST_POOL = 500
MOST_ROUNDS = 20
SIDES = 6  # of an ordinary die
WANTED = (Fraction(1, 2), Fraction(4, 5), Fraction(9, 10), Fraction(19, 20))
BESIDE = (1, 2, 3, 5, 8)  # offenders shown beside those that were asked for
CURVE_W, CURVE_H = 520, 180


class BadPlan(ValueError):
    """Nothing can be planned from these figures; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One number of offenders: the chance to find at least one, once and over all rounds, and the sample that each
    of `WANTED` takes."""

    offenders: int
    asked: bool
    once: Fraction
    over_rounds: Fraction
    samples: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """Chance against size of the sample, in SVG units: the points of a line, and where the plan stands on it."""

    points: str
    x: float
    y: float
    ticks: tuple[tuple[float, int], ...]


@dataclass(frozen=True, slots=True)
class SpotPlan:
    pool: int
    sample: int
    offenders: int
    rounds: int
    lines: tuple[PlanLine, ...]
    to_be_drawn: Fraction
    curve: Curve

    @property
    def asked(self) -> PlanLine:
        return next(line for line in self.lines if line.asked)


def plan(pool: int, sample: int, offenders: int, rounds: int) -> SpotPlan:
    """The plan for a sample of a pool in each of so many rounds. Raises BadPlan outside what can be drawn."""
    if not 1 <= pool <= LARGEST_POOL:
        raise BadPlan(f"A pool holds 1 to {LARGEST_POOL} players.")
    if not 0 <= sample <= pool:
        raise BadPlan(f"From a pool of {pool}, 0 to {pool} can be drawn.")
    if not 1 <= offenders <= pool:
        raise BadPlan(f"Among {pool} players there are 1 to {pool} offenders to look for.")
    if not 1 <= rounds <= MOST_ROUNDS:
        raise BadPlan(f"A plan is made for 1 to {MOST_ROUNDS} rounds.")
    counts = sorted({offenders, *(count for count in BESIDE if count <= pool)})
    return SpotPlan(
        pool,
        sample,
        offenders,
        rounds,
        tuple(_line(pool, sample, count, rounds, asked=count == offenders) for count in counts),
        chance_to_be_drawn(pool, sample, rounds),
        _curve(pool, sample, offenders),
    )


def _line(pool: int, sample: int, offenders: int, rounds: int, *, asked: bool) -> PlanLine:
    samples = tuple(sample_for(pool, offenders, wanted) or 0 for wanted in WANTED)
    return PlanLine(
        offenders,
        asked,
        chance_to_find(pool, sample, offenders),
        chance_over_rounds(pool, sample, offenders, rounds),
        samples,
    )


def _curve(pool: int, sample: int, offenders: int) -> Curve:
    def place(size: int) -> tuple[float, float]:
        chance = float(chance_to_find(pool, size, offenders))
        return round(CURVE_W * size / pool, 1), round(CURVE_H * (1 - chance), 1)

    points = " ".join(f"{x},{y}" for x, y in map(place, range(pool + 1)))
    quarters = sorted({round(pool * part / 4) for part in range(5)})
    ticks = tuple((round(CURVE_W * size / pool, 1), size) for size in quarters)
    return Curve(points, *place(sample), ticks)


def percent(chance: Fraction) -> str:
    """ "11.1 %"; never 0 or 100 for what is only nearly so."""
    shown = f"{float(chance) * 100:.1f}"
    if chance < 1 and shown == "100.0":
        return "over 99.9 %"
    if chance > 0 and shown == "0.0":
        return "under 0.1 %"
    return f"{shown} %"


def throws_needed(pool: int, count: int) -> int:
    """How many throws of a die hold the randomness that the draw needs, each written as a source of its own."""
    needed, throws = bits_needed(pool, count), 1
    while bits_of_throws(SIDES, throws) < needed:
        throws += 1
    return throws
