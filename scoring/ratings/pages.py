"""What the page of a pool shows, worked out from its rating. No query."""

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import Any

from events.rulebook.loader import Rulebook
from scoring.ratings.compression import points_per_throw, round_rating, to_places
from scoring.ratings.propagators import Excluded, Reason
from scoring.ratings.queries import PoolRating, differ_words
from scoring.ratings.residuals import Lying, lying
from scoring.ratings.robust import Opinion, opinions
from scoring.ratings.rules import EDITIONS, constants_from, rules_from
from scoring.ratings.scatter import Scatter, scatter
from scoring.ratings.student import t_quantile

EDITION_WORDS = {"formula_2013": "formula of 2013", "refit_2025": "refit of 2025"}
METHOD_WORDS = {
    "line": "least-squares line",
    "proportional": "one-parameter line",
    "fixed": "average typed in",
}


@dataclass(frozen=True, slots=True)
class PlayerRow:
    """A rated round: `gap` is it against the player's own rating, in words ("+12"), None without one."""

    key: str
    entry_id: int
    round: int
    name: str
    division: str
    own: int | None
    own_estimated: bool
    score: int
    rating: int
    span: str
    gap: str | None
    propagator: bool
    left_out: bool
    unplayed: bool  # left out for holes that were not played; `let_in`: counts all the same
    let_in: bool


@dataclass(frozen=True, slots=True)
class Edition:
    """Points per throw by one edition, and what two scores are worth by it."""

    words: str
    in_use: bool
    points: str
    at_par: int


@dataclass(frozen=True, slots=True)
class PoolPage:
    pool: PoolRating
    rows: tuple[PlayerRow, ...]
    left_out: tuple[tuple[str, tuple[Excluded, ...]], ...]
    lying: tuple[Lying, ...]
    opinions: tuple[Opinion, ...]
    editions: tuple[Edition, ...]
    scatter: Scatter | None
    facts: tuple[dict[str, Any], ...]
    differ: str

    @property
    def outliers(self) -> tuple[Lying, ...]:
        return tuple(each for each in self.lying if each.outlier)


def pool_page(pool: PoolRating, book: Rulebook) -> PoolPage:
    """Everything about one pool."""
    rules, constants = rules_from(book), constants_from(book)
    rating = pool.rating
    strange = lying(rating, scratch=constants.scratch, proportion=rules.proportion, outlier=rules.outlier)
    return PoolPage(
        pool=pool,
        rows=player_rows(pool),
        left_out=_by_reason(pool),
        lying=tuple(replace(each, name=_told_apart(pool, each.key, each.name)) for each in strange),
        opinions=opinions(
            [each.rating for each in rating.propagators],
            [each.score for each in rating.propagators],
            constants.scratch,
        )
        if rating.ssa is not None
        else (),
        editions=_editions(pool, book),
        scatter=scatter(pool.played, rating, strange, scratch=constants.scratch, proportion=rules.proportion),
        facts=tuple(_facts(pool)),
        differ=differ_words(pool.differ, book),
    )


def player_rows(pool: PoolRating) -> tuple[PlayerRow, ...]:
    """Every rated round, the best first."""
    own = {player.key: player for player in pool.played}
    counted = {player.key for player in pool.rating.propagators}
    excluded = {each.key: each.reason for each in pool.rating.excluded}
    rows = []
    for rated in pool.rating.ratings:
        rating, member = own[rated.key].rating, pool.members[rated.key]
        rows.append(
            PlayerRow(
                key=rated.key,
                entry_id=member.entry_id,
                round=member.round,
                name=rated.name,
                division=member.division,
                own=rating,
                own_estimated=own[rated.key].estimated,
                score=rated.score,
                rating=rated.rating,
                span="" if rated.low is None else f"{rated.low} to {rated.high}",
                gap=None if rating is None else signed(rated.rating - rating),
                propagator=rated.key in counted,
                left_out=excluded.get(rated.key) is Reason.DIRECTOR,
                unplayed=excluded.get(rated.key) is Reason.HOLES_NOT_PLAYED,
                let_in=rated.key in counted and bool(own[rated.key].absent),
            )
        )
    return tuple(sorted(rows, key=lambda row: (-row.rating, row.name, row.key)))


def signed(gap: int) -> str:
    """+12, −3, 0."""
    return f"{gap:+d}".replace("-", "−") if gap else "0"


def _told_apart(pool: PoolRating, key: str, name: str) -> str:
    """Where rounds share an average, the name says which round too."""
    return name if len(pool.rounds) == 1 else f"{name}, round {pool.members[key].round}"


def _by_reason(pool: PoolRating) -> tuple[tuple[str, tuple[Excluded, ...]], ...]:
    found: dict[str, list[Excluded]] = defaultdict(list)
    for player in pool.rating.excluded:
        named = replace(player, name=_told_apart(pool, player.key, player.name))
        found[player.reason.value].append(named)
    return tuple(
        (reason, tuple(who)) for reason, who in sorted(found.items(), key=lambda item: -len(item[1]))
    )


def _editions(pool: PoolRating, book: Rulebook) -> tuple[Edition, ...]:
    ssa = pool.rating.ssa
    if ssa is None or pool.rating.refused:
        return ()
    found = []
    for name in EDITIONS:
        constants = constants_from(book, name)
        points = points_per_throw(ssa, constants, pool.rating.holes)
        found.append(
            Edition(
                EDITION_WORDS[name],
                name == pool.rating.edition,
                str(to_places(points, 3)),
                round_rating(ssa, pool.par, points, constants),
            )
        )
    return tuple(found)


def _facts(pool: PoolRating) -> list[dict[str, Any]]:
    """The column of state: label and value."""
    rating = pool.rating
    rows: list[tuple[str, object]] = [("method", METHOD_WORDS[rating.method])]
    if rating.line is not None:
        rows.append(("standard error", _throws(rating.ssa_se)))
        if rating.ssa_se is not None and rating.ssa is not None and not rating.repeats:
            percent = rating.drawn.percent if rating.drawn else 95
            half = t_quantile(percent, rating.line.n - 2) * rating.ssa_se
            rows.append(
                (
                    f"{percent} % by the line",
                    f"{float(rating.ssa) - half:.2f} to {float(rating.ssa) + half:.2f}",
                )
            )
    if rating.drawn is not None:
        low, high = rating.drawn.ssa
        rows.append((f"{rating.drawn.percent} % by resampling", f"{low:.2f} to {high:.2f}"))
        rows.append(("seed of it", rating.drawn.seed))
    if rating.points_per_throw is not None:
        rows.append(("points per throw", to_places(rating.points_per_throw, 2)))
    rows.append(("propagators", rating.people))
    if rating.repeats:
        rows.append(("rounds of theirs", len(rating.propagators)))
    rows.append(("complete cards", f"{pool.complete} of {len(pool.played)}"))
    holes = f"{len(pool.labels)} of {len(pool.layout.holes)}" if pool.stopped else str(len(pool.labels))
    rows.append(("holes", f"{holes}, par {pool.par}"))
    return [{"label": label, "value": value, "needs": False, "url": None} for label, value in rows]


def _throws(value: float | None) -> str:
    return "not known" if value is None else f"{value:.2f}"
