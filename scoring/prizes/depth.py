"""How many places are paid, and how many trophies a true amateur division has. Pure."""

from collections.abc import Mapping, Sequence

from events.rulebook.values import Plain


def places_at_least(players: int, percent: int) -> int:
    """The places that "at least `percent` %" of a division makes: rounded up; none without players.

    No rounding rule is published; "at least" reads as upward (Competition Manual 2025, 5.04.B).
    """
    return (percent * players + 99) // 100


def trophies_for(players: int, rows: Sequence[Mapping[str, Plain]]) -> int:
    """Trophies of a true amateur division of this size, by rows of `from` players and `trophies`."""
    counts = [(row["from"], row["trophies"]) for row in rows]
    return max((int(str(count)) for least, count in counts if players >= int(str(least))), default=0)
