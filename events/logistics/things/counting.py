"""Small counts that quantities are made of; each never falls when what it counts grows. Pure."""

from collections.abc import Sequence


def ceil_percent(count: int, percent: int) -> int:
    """A share, rounded up."""
    return -(-count * percent // 100)


def with_spare(count: int, percent: int) -> int:
    return count + ceil_percent(count, percent)


def groups_of(players: int, size: int) -> int:
    """The groups that hold all players; the last may be smaller."""
    return -(-players // size)


def trophies_of(players: int, rows: Sequence[tuple[int, int]]) -> int:
    """By rows of "from so many players, so many trophies"."""
    return max((trophies for least, trophies in rows if players >= least), default=0)


def places_paid(players: int, percent: int | None) -> int | None:
    """At least `percent` of a division, read as upward; None where no share is published."""
    return None if percent is None else ceil_percent(players, percent)


def water_ml_an_hour(heat_c: int, rows: Sequence[tuple[int, int]]) -> int:
    """Millilitres for one person and hour at this temperature; below every row, as in the lowest."""
    reached = [(start, amount) for start, amount in rows if heat_c >= start]
    return max(reached)[1] if reached else min(rows)[1]
