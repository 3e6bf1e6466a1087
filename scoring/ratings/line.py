"""The least-squares line, worked out exactly. Pure.

Scores and ratings are whole numbers, so slope, intercept and every point of the line are fractions
without any rounding; only square roots (correlation, deviations, standard errors) become floats.
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
        return self.residual_sd * math.sqrt(Fraction(1, self.n) + (x - self.mean_x) ** 2 / self.sxx)


def least_squares(xs: Sequence[int], ys: Sequence[int]) -> Line:
    """The least-squares line of y on x; raises `NoLine`, and ValueError for unequal lengths."""
    pairs = list(zip(xs, ys, strict=True))
    n = len(pairs)
    if n < 2:
        raise NoLine("A line needs two points.")
    mean_x, mean_y = Fraction(sum(xs), n), Fraction(sum(ys), n)
    sxx = sum(((x - mean_x) ** 2 for x in xs), Fraction(0))
    syy = sum(((y - mean_y) ** 2 for y in ys), Fraction(0))
    sxy = sum(((x - mean_x) * (y - mean_y) for x, y in pairs), Fraction(0))
    if sxx == 0:
        raise NoLine("All points lie at the same x.")
    slope = sxy / sxx
    residual = syy - slope * sxy
    return Line(
        slope=slope,
        intercept=mean_y - slope * mean_x,
        n=n,
        r=float(sxy) / math.sqrt(sxx * syy) if syy else None,
        residual_sd=math.sqrt(residual / (n - 2)) if n > 2 else None,
        mean_x=mean_x,
        sxx=sxx,
    )
