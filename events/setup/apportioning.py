"""Whole things divided in proportion, exactly, by largest remainder: cents, players. Pure; never a float."""

from collections.abc import Sequence
from fractions import Fraction


def apportion(total: int, weights: Sequence[Fraction | int], *, unit: int = 1) -> tuple[int, ...]:
    """`total` cents (or players) divided in the proportion of `weights`, in their order; the parts sum to `total`.

    Every part is rounded down to whole `unit`s (100: whole currency, 500: fives); the units that are then missing go
    to the largest fractions, of equal ones to the earlier. What is less than one unit goes to the first part that
    has a weight. Raises ValueError for a negative figure, or where money has nowhere to go.
    """
    if total < 0 or unit < 1 or any(weight < 0 for weight in weights):
        raise ValueError("What is divided, its units and weights are not negative.")
    if not total:
        return tuple(0 for _ in weights)
    whole = sum((Fraction(weight) for weight in weights), Fraction(0))
    if not whole:
        raise ValueError("There is nobody to divide this among.")
    units, rest = divmod(total, unit)
    exact = [units * Fraction(weight) / whole for weight in weights]
    parts = [part.numerator // part.denominator for part in exact]
    order = sorted(range(len(parts)), key=lambda at: (parts[at] - exact[at], at))
    for at in order[: units - sum(parts)]:
        parts[at] += 1
    cents = [part * unit for part in parts]
    cents[next(at for at, weight in enumerate(weights) if weight)] += rest
    return tuple(cents)
