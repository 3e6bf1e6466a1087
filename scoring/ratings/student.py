"""Student's t and Fisher's F, by the continued fraction of the incomplete beta function. Pure.

Enough for intervals and tests of lines; the tests compare every function with scipy.
"""

import math

_TINY = 1e-300
_STEPS = 400


def t_both_sides(t: float, freedom: float) -> float:
    """Probability of a t at least as far from 0, either side."""
    return _beta(freedom / (freedom + t * t), freedom / 2, 0.5)


def f_above(f: float, upper: float, lower: float) -> float:
    """Probability of an F at least as large, with `upper` and `lower` degrees of freedom."""
    return _beta(lower / (lower + upper * f), lower / 2, upper / 2) if f > 0 else 1.0


def t_quantile(percent: float, freedom: float) -> float:
    """The t that `percent` of the distribution lies within, either side of 0: 2.228 for 95 and 10."""
    wanted, low, high = 1 - percent / 100, 0.0, 1.0
    while t_both_sides(high, freedom) > wanted:
        high *= 2
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if t_both_sides(middle, freedom) > wanted else (low, middle)
    return (low + high) / 2


def _beta(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function I_x(a, b)."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta(1 - x, b, a)
    front = math.exp(
        a * math.log(x) + b * math.log1p(-x) - math.lgamma(a) - math.lgamma(b) + math.lgamma(a + b)
    )
    return front * _fraction(x, a, b) / a


def _fraction(x: float, a: float, b: float) -> float:
    """Lentz's way through the continued fraction."""
    c, d = 1.0, _inverse(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, _STEPS):
        before = value
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = _inverse(1 + term * d)
            c = _off_zero(1 + term / c)
            value *= c * d
        if abs(value - before) < 1e-15 * abs(value):
            break
    return value


def _inverse(value: float) -> float:
    return 1 / _off_zero(value)


def _off_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
