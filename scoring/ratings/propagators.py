"""Who a round's rating may rest on. Pure; the figures of the rules are handed in.

A propagator is a player whose rating is settled enough to measure a layout by: above a threshold, resting
on enough rated rounds, and in force within a year before the event ("What is a Propagator?", the governing
body's ratings questions). What is not known is not passed: a missing rating, count or date excludes, and
says so.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


@dataclass(frozen=True)
class Rules:
    """Figures of the ratings rules, from the rulebook.

    `rating_above` 699, `rated_rounds` 8, `years_before` 1 (newer ratings questions); `fewest` 2 (below it
    no unofficial ratings) and `advised` 5 (below it the official ones are worked out by hand) propagators;
    `holes` 13 (from memory, no source found); `points_low` 7 and `points_high` 13 per throw (ratings
    questions, 2017). `proportion` 480 of the one-parameter line (inferred, published nowhere);
    `line_propagators` and `line_spread` (points, standard deviation of the ratings) are what a free line needs
    by our own reading; `percent`, `resamples` and `outlier` say how intervals and outliers are shown.
    """

    rating_above: int
    rated_rounds: int
    years_before: int
    fewest: int
    advised: int
    holes: int
    points_low: int
    points_high: int
    proportion: int
    line_propagators: int
    line_spread: int
    percent: int
    resamples: int
    outlier: int


class Finish(StrEnum):
    """What became of a player's round; only a finished one is rated."""

    FINISHED = "finished"
    NOT_FINISHED = "not finished"
    NOT_PLAYED = "not played"
    DISQUALIFIED = "disqualified"


class Reason(StrEnum):
    """Why a player is no propagator of this round."""

    DISQUALIFIED = "disqualified, rounds are not rated"
    NOT_FINISHED = "round not finished"
    NO_CARD = "no complete card"
    NOT_PLAYED = "no hole played"
    HOLES_NOT_PLAYED = "holes not played"
    NO_RATING = "no rating"
    ESTIMATED = "rating estimated here"
    RATING_TOO_LOW = "rating too low"
    ROUNDS_UNKNOWN = "number of rated rounds not known"
    TOO_FEW_ROUNDS = "too few rated rounds"
    DATE_UNKNOWN = "date of the rating not known"
    DATE_TOO_OLD = "rating too old"
    DATE_TOO_NEW = "rating dated after the event began"
    DIRECTOR = "left out by the director"


@dataclass(frozen=True)
class Played:
    """One player of the pool. `score` is the round's total including additional penalties, None without a
    complete card; the rating's figures are None where they are not known, and `estimated` where it was worked out here.
    `absent` holes were not played: they are in the score at what the rules add to par."""

    key: str
    name: str
    score: int | None
    rating: int | None
    rated_rounds: int | None
    rating_date: date | None
    finish: Finish = Finish.FINISHED
    person: str = ""  # where one player stands in a pool with several rounds; "": the key
    estimated: bool = False
    absent: int = 0

    @property
    def rateable(self) -> bool:
        """Whether this round gets a rating: finished, on a complete card."""
        return self.finish is Finish.FINISHED and self.score is not None


@dataclass(frozen=True)
class Propagator:
    """A player whom the rating rests on."""

    key: str
    name: str
    rating: int
    score: int
    person: str = ""


@dataclass(frozen=True)
class Excluded:
    """A player whom the rating does not rest on, why, and the figures compared ("" where none are)."""

    key: str
    name: str
    reason: Reason
    detail: str


def people_in(propagators: Iterable[Propagator]) -> int:
    """How many players they are: a player of several rounds is one opinion, not several."""
    return len({each.person or each.key for each in propagators})


def choose(
    players: Sequence[Played],
    rules: Rules,
    first_day: date,
    left_out: Mapping[str, str] | None = None,
    let_in: Collection[str] = (),
) -> tuple[tuple[Propagator, ...], tuple[Excluded, ...]]:
    """Part the pool into propagators and the others, each in the order given.

    `left_out`: key → the director's reason why this player is none, though the rules would take them; `let_in`: keys of
    those whom the director takes though they did not play every hole.
    """
    propagators: list[Propagator] = []
    excluded: list[Excluded] = []
    for player in players:
        judged = judge(player, rules, first_day, absences_count=player.key in let_in)
        reason = (left_out or {}).get(player.key)
        if isinstance(judged, Propagator) and reason is not None:
            excluded.append(Excluded(player.key, player.name, Reason.DIRECTOR, reason))
        elif isinstance(judged, Propagator):
            propagators.append(judged)
        else:
            excluded.append(judged)
    return tuple(propagators), tuple(excluded)


def judge(
    player: Played, rules: Rules, first_day: date, *, absences_count: bool = False
) -> Propagator | Excluded:
    """One player as a propagator, or excluded for the first reason that holds in the order of `Reason`.

    A rating dated on the first day itself, or exactly a year before it, still counts (own reading).
    """
    out = _unplayed(player, absences_count) or _unsettled(player, rules, first_day)
    if out is not None:
        return Excluded(player.key, player.name, *out)
    assert player.score is not None
    assert player.rating is not None
    return Propagator(player.key, player.name, player.rating, player.score, player.person)


def years_earlier(day: date, years: int) -> date:
    """The same date so many years before; 28 February for a 29 February that year does not have."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def _unplayed(player: Played, absences_count: bool) -> tuple[Reason, str] | None:
    if player.finish is not Finish.FINISHED:
        return _WITHOUT_A_ROUND[player.finish], ""
    if player.score is None:
        return Reason.NO_CARD, ""
    if player.absent and not absences_count:
        holes = "hole" if player.absent == 1 else "holes"
        return Reason.HOLES_NOT_PLAYED, f"{player.absent} {holes} scored for an absence"
    return None


_WITHOUT_A_ROUND = {
    Finish.DISQUALIFIED: Reason.DISQUALIFIED,
    Finish.NOT_FINISHED: Reason.NOT_FINISHED,
    Finish.NOT_PLAYED: Reason.NOT_PLAYED,
}


def _unsettled(player: Played, rules: Rules, first_day: date) -> tuple[Reason, str] | None:
    if player.rating is None:
        return Reason.NO_RATING, ""
    if player.estimated:
        return Reason.ESTIMATED, f"{player.rating}, from a history"
    if player.rating <= rules.rating_above:
        return Reason.RATING_TOO_LOW, f"{player.rating}, needs more than {rules.rating_above}"
    return _untried(player, rules) or _undated(player, rules, first_day)


def _untried(player: Played, rules: Rules) -> tuple[Reason, str] | None:
    if player.rated_rounds is None:
        return Reason.ROUNDS_UNKNOWN, ""
    if player.rated_rounds < rules.rated_rounds:
        return Reason.TOO_FEW_ROUNDS, f"{player.rated_rounds}, needs {rules.rated_rounds}"
    return None


def _undated(player: Played, rules: Rules, first_day: date) -> tuple[Reason, str] | None:
    if player.rating_date is None:
        return Reason.DATE_UNKNOWN, ""
    earliest = years_earlier(first_day, rules.years_before)
    if player.rating_date < earliest:
        return Reason.DATE_TOO_OLD, f"{player.rating_date.isoformat()}, needs {earliest.isoformat()} or later"
    if player.rating_date > first_day:
        return Reason.DATE_TOO_NEW, f"{player.rating_date.isoformat()}, event began {first_day.isoformat()}"
    return None
