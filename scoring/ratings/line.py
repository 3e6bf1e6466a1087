"""The least-squares line, worked out exactly. Pure.

Scores and ratings are whole numbers, so slope, intercept and every point of the line are fractions
without any rounding; only square roots (correlation, deviations, standard errors) become floats. All sums
are sums of whole numbers, which keeps the exact line as quick as a library's inexact one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


class NoLine(ValueError):
    """No line can be drawn: fewer than two points, or all at the same x."""


@dataclass(frozen=True)
class Line:
    """y = intercept + slope * x by least squares over `n` points.

    `r` is None when all y are equal; `residual_sd` (n - 2 degrees of freedom) is None for two points.
    `mean_x` and `sxx` (sum of squared deviations of x) are kept for the standard error.
    """

    slope: Fraction
    intercept: Fraction
    n: int
    r: float | None
    residual_sd: float | None
    mean_x: Fraction
    sxx: Fraction

    def at(self, x: int | Fraction) -> Fraction:
        """The line's value at x."""
        return self.intercept + self.slope * x

    def standard_error_at(self, x: int | Fraction) -> float | None:
        """Standard error of the line's value at x; None for two points."""
        if self.residual_sd is None:
            return None
        return self.residual_sd * math.sqrt(self.leverage_at(x))

    def leverage_at(self, x: int | Fraction) -> Fraction:
        """How strongly a point at x pulls the line to itself: 0 to 1 for the points it rests on."""
        return Fraction(1, self.n) + (x - self.mean_x) ** 2 / self.sxx


def least_squares(xs: Sequence[int], ys: Sequence[int]) -> Line:
    """The least-squares line of y on x; raises `NoLine`, and ValueError for unequal lengths."""
    n = len(xs)
    if n != len(ys):
        raise ValueError("Each x needs its y.")
    if n < 2:
        raise NoLine("A line needs two points.")
    sum_x, sum_y = sum(xs), sum(ys)
    # n times the sums of squared deviations: whole numbers.
    sxx = n * sum(x * x for x in xs) - sum_x * sum_x
    syy = n * sum(y * y for y in ys) - sum_y * sum_y
    sxy = n * sum(x * y for x, y in zip(xs, ys, strict=True)) - sum_x * sum_y
    if sxx == 0:
        raise NoLine("All points lie at the same x.")
    slope = Fraction(sxy, sxx)
    return Line(
        slope=slope,
        intercept=(sum_y - slope * sum_x) / n,
        n=n,
        r=sxy / math.sqrt(sxx * syy) if syy else None,
        residual_sd=math.sqrt(Fraction(syy * sxx - sxy * sxy, sxx * n * (n - 2))) if n > 2 else None,
        mean_x=Fraction(sum_x, n),
        sxx=Fraction(sxx, n),
    )
