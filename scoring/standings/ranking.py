"""Places within a division, live and final. Pure; the same input in any order gives the same standings.

Standard competition ranking (1, 2, 2, 4). While any round is open, players are compared by score
against par over the holes they have played, so that partial cards are fair to compare; once every line of
the division is complete, by total. What is missing is never zero: a player without a needed card has no
place. Ties stand; the order that breaks them for grouping belongs to the draw (Competition Manual 2025,
1.09.A), and playoffs are kept apart from round totals (1.09.B, `first_place.py`). Who plays on after a cut stands
above who does not (1.08.D-E): each such block is ranked by itself.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scoring.standings.playing import PlayerLine, PlayerStatus
from scoring.standings.tallying import Group, RoundResult, Tally, tally


@dataclass(frozen=True)
class Standing:
    """One line of the standings.

    `place`, `total` and `to_par` are None for everyone outside `Group.RANKED`; the rounds stay visible,
    one result for each round of the division. `words` says why there is no place, or how far the player
    is ("through 9", "done", "starts 09:00"); `holes` is the same for a narrow column ("9", "done", "").
    `decided` says what broke a tie for first place ("playoff", "co-winners"), "" where nothing had to; `made_cut`
    is None while no cut was made.
    """

    key: str
    name: str
    sort_name: str
    member_number: int | None
    division: str
    place: int | None
    tied: bool
    total: int | None
    to_par: int | None
    holes_played: int
    complete: bool
    rounds: tuple[RoundResult, ...]
    group: Group
    words: str
    holes: str
    decided: str = ""
    made_cut: bool | None = None


def rank(players: Iterable[PlayerLine]) -> dict[str, tuple[Standing, ...]]:
    """Standings per division code, codes in alphabetical order; raises ValueError on a repeated key.

    Players who never started or withdrew without a score are left out (Competition Manual 2025, 5.06.A).
    """
    lines = list(players)
    if len({line.key for line in lines}) != len(lines):
        raise ValueError("A player stands twice in the lines to be ranked.")
    divisions: dict[str, list[PlayerLine]] = {}
    for line in lines:
        divisions.setdefault(line.division, []).append(line)
    return {code: rank_division(divisions[code]) for code in sorted(divisions)}


def rank_division(players: Sequence[PlayerLine]) -> tuple[Standing, ...]:
    """Standings of players who compete against each other, in final order: ranked by place, then not
    started, without a needed card, did not finish, disqualified; equal ones by sort_name, then key.

    Hand over a line for every round that a player is to play, also those to come: a round that others have
    and a player has not counts as a missing card. Raises ValueError for a round given twice.
    """
    numbers = sorted({line.round for player in players for line in player.rounds})
    tallies = [tally(player, numbers) for player in players if _listed(player)]
    places = _places([each for each in tallies if each.group is Group.RANKED])
    standings = [_standing(each, places.get(each.player.key)) for each in tallies]
    return tuple(sorted(standings, key=_order))


def _places(ranked: Sequence[Tally]) -> dict[str, tuple[int, bool]]:
    """Place and whether it is shared, by key: block after block."""
    found: dict[str, tuple[int, bool]] = {}
    for block in sorted({each.player.block for each in ranked}):
        members = [each for each in ranked if each.player.block == block]
        by_total = all(each.settled for each in members) and len({len(each.met) for each in members}) <= 1
        scores = {each.player.key: each.total if by_total else each.to_par for each in members}
        ladder, above = sorted(scores.values()), len(found)
        for key, own in scores.items():
            level = bisect_right(ladder, own) - bisect_left(ladder, own)
            found[key] = (above + 1 + bisect_left(ladder, own), level > 1)
    return found


def _listed(player: PlayerLine) -> bool:
    if player.status is PlayerStatus.WITHDRAWN:
        return any(line.begun for line in player.rounds)
    return player.status is not PlayerStatus.DNS


def _standing(own: Tally, place: tuple[int, bool] | None) -> Standing:
    player = own.player
    return Standing(
        key=player.key,
        name=player.name,
        sort_name=player.sort_name,
        member_number=player.member_number,
        division=player.division,
        place=None if place is None else place[0],
        tied=place is not None and place[1],
        total=None if place is None else own.total,
        to_par=None if place is None else own.to_par,
        holes_played=sum(result.played for result in own.results),
        complete=place is not None and own.settled,
        rounds=own.results,
        group=own.group,
        words=own.words,
        holes=own.holes,
        made_cut=player.made_cut,
    )


def _order(standing: Standing) -> tuple[int, int, str, str]:
    return (standing.group, standing.place or 0, standing.sort_name, standing.key)
