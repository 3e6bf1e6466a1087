"""Money shared out to the last cent, by largest remainder. Pure."""

from collections.abc import Sequence


def shared(cents: int, parts: Sequence[int]) -> tuple[int, ...]:
    """`cents` in the proportion of `parts`, whole cents that sum to `cents` exactly.

    Every share is rounded down; the cents that are left go one each to the largest fractions, to the earlier of
    two equal ones. Raises ValueError below zero, and where no part is above zero.
    """
    whole = sum(parts)
    if cents < 0 or whole <= 0 or min(parts) < 0:
        raise ValueError("an amount of 0 or more is shared among parts of 0 or more, one of them above 0")
    shares = [cents * part // whole for part in parts]
    fractions = sorted(range(len(parts)), key=lambda index: (-(cents * parts[index] % whole), index))
    for index in fractions[: cents - sum(shares)]:
        shares[index] += 1
    return tuple(shares)


def paid_part(cents: int, percent: int) -> int:
    """What a pot that pays so many percent pays, in cents rounded down: the rest stays whole in the pot."""
    return cents * percent // 100
