"""The least-squares line, worked out exactly. Pure; numpy.

Scores and ratings are whole numbers, so slope, intercept and every point of the line are fractions
without any rounding; only square roots (correlation, deviations, standard errors) become floats. All sums
are sums of whole numbers, which keeps the exact line as quick as a library's inexact one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

Whole = npt.NDArray[np.int64]


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


def least_squares(xs: Sequence[int] | Whole, ys: Sequence[int] | Whole) -> Line:
    """The least-squares line of y on x; raises `NoLine`, and ValueError for unequal lengths."""
    x, y = np.asarray(xs, np.int64), np.asarray(ys, np.int64)
    n = len(x)
    if n != len(y):
        raise ValueError("Each x needs its y.")
    if n < 2:
        raise NoLine("A line needs two points.")
    sum_x, sum_y = int(x.sum()), int(y.sum())
    # n times the sums of squared deviations: whole numbers, and Python's own from here on, which never overflow.
    sxx = n * int(x @ x) - sum_x * sum_x
    syy = n * int(y @ y) - sum_y * sum_y
    sxy = n * int(x @ y) - sum_x * sum_y
    if sxx == 0:
        raise NoLine("All points lie at the same x.")
    left = syy * sxx - sxy * sxy
    return Line(
        slope=Fraction(sxy, sxx),
        intercept=Fraction(sum_y * sxx - sxy * sum_x, n * sxx),
        n=n,
        r=sxy / math.sqrt(sxx * syy) if syy else None,
        residual_sd=math.sqrt(left / (sxx * n * (n - 2))) if n > 2 else None,
        mean_x=Fraction(sum_x, n),
        sxx=Fraction(sxx, n),
    )
