"""The orders that the draw deals by: standing, rating, and the divisions themselves.

The order among equal totals is Competition Manual 2025, 1.09.A, and serves grouping only; it never decides
a place. Every order ends in the unique key, so that no order of input can show through.
"""

import re
from collections.abc import Iterable
from functools import cache

from events.draw.candidates import Candidate
from players.names import fold

Figure = tuple[bool, int]  # (missing, figure): a missing figure sorts after every figure


def _missing_last(figure: int | None) -> Figure:
    return (figure is None, 0 if figure is None else figure)


NameKey = tuple[Figure, str, str, int]
RatingKey = tuple[Figure, NameKey]
ScoreKey = tuple[Figure, tuple[Figure, ...], NameKey]


def name_key(player: Candidate) -> NameKey:
    """Lower member number first, no number last, then surname, given name and the unique key (1.09.A)."""
    return (
        _missing_last(player.member_number),
        fold(player.surname),
        fold(player.given),
        player.key,
    )


def rating_key(player: Candidate) -> RatingKey:
    """Highest rating first, unrated last; equals by member number, then surname (as 1.09.A does)."""
    rating = player.rating
    return (_missing_last(None if rating is None else -rating), name_key(player))


def score_key(player: Candidate) -> ScoreKey:
    """Lowest total first; equals by the latest round and so on back, then member number, then surname.

    A player with a missing card sorts after everybody with a total (Competition Manual 2025, 1.09.A, names
    no place for them; last is common practice, no source).
    """
    latest_first = tuple(_missing_last(figure) for figure in reversed(player.totals))
    return (_missing_last(player.total), latest_first, name_key(player))


def by_rating(players: Iterable[Candidate]) -> list[Candidate]:
    """Players by rating, best first."""
    return sorted(players, key=rating_key)


def by_score(players: Iterable[Candidate]) -> list[Candidate]:
    """Players by standing, leader first."""
    return sorted(players, key=score_key)


@cache
def division_key(code: str) -> tuple[bool, bool, bool, int, str]:
    """The order of divisions on a sheet: professional, amateur, junior; in each M before F, open before age.

    Reads the published codes (MPO, FP40, MA1, FA50, MJ12); any other code follows in alphabetical order.
    Common practice, no source.
    """
    parts = re.fullmatch(r"([MF])([PAJ])(O|\d+)", code.upper())
    if parts is None:
        return (True, True, True, 10_000, code)
    gender, kind, figure = parts.groups()
    return (kind != "P", kind == "J", gender == "F", 0 if figure == "O" else int(figure), code)
