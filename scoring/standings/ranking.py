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
from enum import IntEnum, StrEnum

from scoring.cards.arithmetic import LineSum, line_total
from scoring.standings import wording


class PlayerStatus(StrEnum):
    """The published status words (Competition Manual 2025, 5.06.A-B, 3.03.E) and withdrawal."""

    IN = "in"
    DNF = "dnf"
    DQ = "dq"
    DNS = "dns"
    WITHDRAWN = "withdrawn"


class RoundStatus(StrEnum):
    """Where a round stands for one player."""

    TO_COME = "to come"
    IN_PLAY = "in play"
    OVER = "over"


class Group(IntEnum):
    """The blocks of a standings list, in their order."""

    RANKED = 0
    NOT_STARTED = 1
    NO_CARD = 2
    DNF = 3
    DQ = 4


_ENDED = {
    PlayerStatus.DQ: (Group.DQ, "disqualified"),
    PlayerStatus.DNF: (Group.DNF, "did not finish"),
    PlayerStatus.WITHDRAWN: (Group.DNF, "withdrew"),
}


@dataclass(frozen=True)
class Called:
    """What the radio said of a round in play: throws and score to par after so many holes. It counts while fewer
    holes are known, and never makes a round complete."""

    through: int
    total: int
    to_par: int


@dataclass(frozen=True)
class RoundLine:
    """One round of one player: throws in layout order (None: no card), pars of the layout, additional
    penalties of the round, and where the round stands for this player."""

    round: int
    throws: tuple[int | None, ...] | None
    pars: tuple[int, ...]
    additional: int = 0
    status: RoundStatus = RoundStatus.OVER
    called: Called | None = None

    @property
    def begun(self) -> bool:
        """Whether anything is known of it, also by radio."""
        return self.called is not None or any(score is not None for score in self.throws or ())

    @property
    def whole(self) -> bool:
        return self.throws is not None and len(self.throws) > 0 and None not in self.throws


@dataclass(frozen=True)
class PlayerLine:
    """One player: `key` is unique, `sort_name` orders equal places, `starts` is what to say before the
    first hole of a round ("starts 09:00", given by the caller).

    After a cut: `out_after` is the last round that counts for a player who does not play on, `out_words` says
    why, `block` orders the blocks that are ranked apart (0: still playing), `made_cut` is None without a cut.
    """

    key: str
    name: str
    sort_name: str
    member_number: int | None
    division: str
    rounds: tuple[RoundLine, ...]
    status: PlayerStatus = PlayerStatus.IN
    starts: str = ""
    out_after: int | None = None
    out_words: str = ""
    block: int = 0
    made_cut: bool | None = None


@dataclass(frozen=True)
class RoundResult:
    """One round in the standings; `total` and `to_par` are None without a scored hole, and partial unless
    `complete`."""

    round: int
    total: int | None
    to_par: int | None
    played: int
    holes: int
    complete: bool


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


@dataclass(frozen=True)
class _Tally:
    player: PlayerLine
    results: tuple[RoundResult, ...]
    group: Group
    words: str
    holes: str
    total: int
    to_par: int
    settled: bool


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
    tallies = [_tally(player, numbers) for player in players if _listed(player)]
    places = _places([tally for tally in tallies if tally.group is Group.RANKED])
    standings = [_standing(tally, places.get(tally.player.key)) for tally in tallies]
    return tuple(sorted(standings, key=_order))


def _places(ranked: Sequence[_Tally]) -> dict[str, tuple[int, bool]]:
    """Place and whether it is shared, by key: block after block."""
    found: dict[str, tuple[int, bool]] = {}
    for block in sorted({tally.player.block for tally in ranked}):
        members = [tally for tally in ranked if tally.player.block == block]
        by_total = all(tally.settled for tally in members) and len({len(_met(t)) for t in members}) <= 1
        scores = {tally.player.key: tally.total if by_total else tally.to_par for tally in members}
        ladder, above = sorted(scores.values()), len(found)
        for key, own in scores.items():
            level = bisect_right(ladder, own) - bisect_left(ladder, own)
            found[key] = (above + 1 + bisect_left(ladder, own), level > 1)
    return found


def _listed(player: PlayerLine) -> bool:
    if player.status is PlayerStatus.WITHDRAWN:
        return any(line.begun for line in player.rounds)
    return player.status is not PlayerStatus.DNS


def _result(line: RoundLine) -> RoundResult:
    throws = line.throws if line.throws is not None else (None,) * len(line.pars)
    sums: LineSum = line_total(throws, line.pars, line.additional)
    if line.called is not None and line.called.through > sums.played:
        call = line.called
        return RoundResult(line.round, call.total, call.to_par, call.through, len(line.pars), complete=False)
    return RoundResult(line.round, sums.total, sums.to_par, sums.played, len(line.pars), sums.complete)


def _every_round(player: PlayerLine, numbers: Sequence[int]) -> list[RoundLine]:
    own = {line.round: line for line in player.rounds}
    if len(own) != len(player.rounds):
        raise ValueError(f"{player.name} has a round twice.")
    last = player.out_after
    return [
        _not_theirs(number)
        if last is not None and number > last
        else own.get(number) or RoundLine(number, None, ())
        for number in numbers
    ]


def _not_theirs(number: int) -> RoundLine:
    """A round after the cut that a player did not make: played or not, it does not count (1.08.E)."""
    return RoundLine(number, None, (), status=RoundStatus.TO_COME)


def _tally(player: PlayerLine, numbers: Sequence[int]) -> _Tally:
    lines = _every_round(player, numbers)
    results = tuple(_result(line) for line in lines)
    group, words = _group(player, lines, results)
    now = _current(lines, results)
    return _Tally(
        player=player,
        results=results,
        group=group,
        words=words,
        holes="" if now is None else wording.holes_text(now.played, now.holes),
        total=sum(result.total for result in results if result.total is not None),
        to_par=sum(result.to_par for result in results if result.to_par is not None),
        settled=all(
            result.complete or (line.status is RoundStatus.TO_COME and result.played == 0)
            for line, result in zip(lines, results, strict=True)
        ),
    )


def _group(
    player: PlayerLine, lines: Sequence[RoundLine], results: Sequence[RoundResult]
) -> tuple[Group, str]:
    if player.status in _ENDED:
        return _ENDED[player.status]
    missing = _missing(lines, results)
    if missing:
        return Group.NO_CARD, missing
    if not any(result.played for result in results):
        return Group.NOT_STARTED, player.starts or "not started"
    if player.out_words:
        return Group.RANKED, player.out_words
    now = _current(lines, results)
    if now is None or now.played == 0:
        return Group.RANKED, player.starts or "not started"
    return Group.RANKED, wording.through_text(now.played, now.holes)


def _missing(lines: Sequence[RoundLine], results: Sequence[RoundResult]) -> str:
    """Words for every round that should be complete and is not: over, or followed by one begun."""
    latest = max((line.round for line in lines if line.begun), default=0)
    return "; ".join(
        wording.missing_text(result.round, result.holes - result.played, result.holes)
        for line, result in zip(lines, results, strict=True)
        if not result.complete and (line.status is RoundStatus.OVER or line.round < latest)
    )


def _current(lines: Sequence[RoundLine], results: Sequence[RoundResult]) -> RoundResult | None:
    """The latest round that has a score or is not just to come."""
    for line, result in zip(reversed(lines), reversed(results), strict=True):
        if result.played or line.status is not RoundStatus.TO_COME:
            return result
    return None


def _met(tally: _Tally) -> tuple[int, ...]:
    """Rounds that count towards a total."""
    return tuple(result.round for result in tally.results if result.complete)


def _standing(tally: _Tally, own: tuple[int, bool] | None) -> Standing:
    player = tally.player
    return Standing(
        key=player.key,
        name=player.name,
        sort_name=player.sort_name,
        member_number=player.member_number,
        division=player.division,
        place=None if own is None else own[0],
        tied=own is not None and own[1],
        total=None if own is None else tally.total,
        to_par=None if own is None else tally.to_par,
        holes_played=sum(result.played for result in tally.results),
        complete=own is not None and tally.settled,
        rounds=tally.results,
        group=tally.group,
        words=tally.words,
        holes=tally.holes,
        made_cut=player.made_cut,
    )


def _order(standing: Standing) -> tuple[int, int, str, str]:
    return (standing.group, standing.place or 0, standing.sort_name, standing.key)
