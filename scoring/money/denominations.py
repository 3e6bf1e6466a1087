"""Notes and coins of the cash box, by currency: faces in cents, the largest first. Pure. From memory, no source.

A currency that is not listed gets the series 1-2-5, which fits most; a face that does not exist stays at none.
"""

from collections.abc import Sequence

_SERIES = (20000, 10000, 5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5, 2, 1)
_DOLLAR = (10000, 5000, 2000, 1000, 500, 200, 100, 50, 25, 10, 5, 1)
_FACES = {
    "USD": _DOLLAR,
    "CAD": (10000, 5000, 2000, 1000, 500, 200, 100, 25, 10, 5),
    "AUD": (10000, 5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5),
    "NZD": (10000, 5000, 2000, 1000, 500, 200, 100, 50, 20, 10),
    "EUR": _SERIES,
    "GBP": (5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5, 2, 1),
    "SEK": (100000, 50000, 20000, 10000, 5000, 2000, 1000, 500, 200, 100),
    "NOK": (100000, 50000, 20000, 10000, 5000, 2000, 1000, 500, 100),
    "DKK": (100000, 50000, 20000, 10000, 5000, 2000, 1000, 500, 200, 100, 50),
}


def faces_of(currency: str) -> tuple[int, ...]:
    """Faces in cents, the largest first."""
    return _FACES.get(currency, _SERIES)


def sum_of(pieces: Sequence[Sequence[int]]) -> int:
    """Cents of [face, how many] pairs."""
    return sum(face * count for face, count in pieces)
