"""What breaks a tie for first place, once every round is in. Pure.

Only a playoff does, or the director's word that there are co-winners (Competition Manual 2025, 1.09.B, D); it breaks
no other place: whoever lost shares what comes after the first.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from scoring.standings.ranking import Standing
from scoring.standings.tallying import WAITING, Group

CO_WINNERS = "co-winners"
PLAYOFF = "playoff"


@dataclass(frozen=True, slots=True)
class Said:
    """What was decided of one of those who were tied: rank 1 is first; `how` is "playoff" or "co-winners"."""

    rank: int
    how: str


def decide_first(standings: Sequence[Standing], said: Mapping[str, Said]) -> tuple[Standing, ...]:
    """The same standings with the tie for first place broken as far as it was decided, in their order."""
    tied = [each for each in standings if each.place == 1 and each.tied]
    if not tied or not all_in(standings):
        return tuple(standings)
    winners = first_of([each.key for each in tied], {key: one.rank for key, one in said.items()})
    if not winners or (len(winners) > 1 and any(said[key].how != CO_WINNERS for key in winners)):
        return tuple(standings)
    broken = (_broken(each, winners, len(tied), said) for each in standings)
    return tuple(sorted(broken, key=lambda each: (each.group, each.place or 0, each.sort_name, each.key)))


def all_in(standings: Sequence[Standing]) -> bool:
    """Nobody has a hole to play or a card to bring, and those at the top have played every round."""
    if any(each.group in WAITING for each in standings):
        return False
    ranked = [each for each in standings if each.group is Group.RANKED]
    first = [each for each in ranked if each.place == 1]
    return all(each.complete for each in ranked) and all(
        one.complete for each in first for one in each.rounds
    )


def first_of(tied: Collection[str], ranks: Mapping[str, int]) -> tuple[str, ...]:
    """Who is first among these by the recorded ranks; empty while one of them has no rank or nobody is first.

    More than one are co-winners. A playoff among other players says nothing: cards changed since.
    """
    if not tied or any(key not in ranks for key in tied):
        return ()
    return tuple(sorted(key for key in tied if ranks[key] == 1))


def _broken(standing: Standing, winners: Sequence[str], tied: int, said: Mapping[str, Said]) -> Standing:
    if not (standing.place == 1 and standing.tied):
        return standing
    decided = said[standing.key].how
    if standing.key in winners:
        return replace(standing, tied=len(winners) > 1, decided=decided)
    return replace(
        standing,
        place=1 + len(winners),
        tied=tied - len(winners) > 1,
        decided=PLAYOFF if decided == CO_WINNERS else decided,  # who is not among them lost it
    )
