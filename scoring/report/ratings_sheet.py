"""Round ratings in the workbook: the propagators, the average reckoned from them, and each rating reckoned from that.

Pure. Estimated, never official. A refused pool says why. Where the method is a line, slope and intercept are the
program's own functions over the propagators; the average is rounded to thousandths before it is used, as everywhere.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from scoring.ratings.compression import Constants
from scoring.ratings.propagators import Reason
from scoring.ratings.round_rating import Method, Rated, RoundRating, Said
from scoring.report.book import Book, Cells, Tab, at, span

DECISION_HEAD = ("rounds", "what", "why", "by", "when")


@dataclass(frozen=True, slots=True)
class PoolSheet:
    """A pool as the sheet needs it: `divisions` by the key of the rated round."""

    title: str
    rating: RoundRating
    constants: Constants
    proportion: int
    divisions: dict[str, str]
    said: tuple[Said, ...] = ()


def ratings_sheet(book: Book, pools: Sequence[PoolSheet]) -> None:
    about = "round ratings, estimated: propagators, scratch scoring average, ratings; all reckoned live"
    tab = book.tab("Ratings", about, "everybody")
    tab.put(1, 1, "Round ratings, estimated, never official", bold=True)
    if not pools:
        tab.put(3, 1, "No round is complete yet.")
    row = 3
    for pool in pools:
        row = _pool(tab, pool, row) + 2
    tab.widths([34, 14, 12, 12, 44])


def decisions_sheet(
    book: Book, pools: Sequence[PoolSheet], wall: Callable[[datetime], datetime | None]
) -> None:
    """What the director decided about ratings, by whom and why; `wall` gives the clock at the venue."""
    about = "what was decided about ratings, by whom and why"
    rows: list[Cells] = [
        [pool.title, each.what, each.reason, each.by, wall(each.at)] for pool in pools for each in pool.said
    ]
    book.tab("Rating decisions, for the desk", about, "the desk").table(DECISION_HEAD, rows)


def _pool(tab: Tab, pool: PoolSheet, row: int) -> int:
    """One pool from `row` on; the row after it."""
    rating = pool.rating
    tab.put(row, 1, pool.title, bold=True)
    words = [
        f"Method: {rating.method}. {rating.why}".strip(),
        *(each.what for each in pool.said),
        *rating.warnings,
    ]
    if rating.refused:
        words.append(f"Not rated. {rating.refused}")
    row = tab.rows(row + 1, [[text] for text in words])
    if rating.refused or rating.ssa is None or rating.points_per_throw is None:
        return _excluded(tab, rating, row)
    labels = _labelled(row, rating)
    first = row + len(labels) + 2
    _propagators(tab, rating, first)
    _figures(tab, pool, row, first, len(rating.propagators))
    row = first + len(rating.propagators) + 2
    row = _rated(tab, pool, row, row_of=labels)
    return _excluded(tab, rating, row + 1)


def _labelled(row: int, rating: RoundRating) -> dict[str, int]:
    """Where each figure of a pool stands; slope and intercept only where there is a line."""
    labels = ["scratch scoring average", "average over a full round", "rating points per throw"]
    if rating.line is not None:
        labels = ["slope", "intercept", *labels]
    return {label: row + index for index, label in enumerate(labels)}


def _propagators(tab: Tab, rating: RoundRating, first: int) -> None:
    tab.headings(first - 1, ["propagator", "rating", "score"], right_from=2)
    tab.rows(first, [[each.name, each.rating, each.score] for each in rating.propagators])


def _figures(tab: Tab, pool: PoolSheet, row: int, first: int, count: int) -> None:
    rating, constants = pool.rating, pool.constants
    assert rating.ssa is not None
    assert rating.points_per_throw is not None
    rows, last = _labelled(row, rating), first + count - 1
    ratings, scores = span(first, 2, last, 2), span(first, 3, last, 3)
    for label, line in rows.items():
        tab.put(line, 1, label)
    ssa = at(rows["scratch scoring average"], 2)
    if rating.line is not None:
        tab.formula(rows["slope"], 2, f"SLOPE({scores},{ratings})", float(rating.line.slope))
        tab.formula(rows["intercept"], 2, f"INTERCEPT({scores},{ratings})", float(rating.line.intercept))
        reads = f"ROUND({at(rows['intercept'], 2)}+{at(rows['slope'], 2)}*{constants.scratch},3)"
        tab.formula(rows["scratch scoring average"], 2, reads, float(rating.ssa))
    elif rating.method is Method.PROPORTIONAL:
        whole = constants.scratch + pool.proportion
        share = f"ROUND(SUM({scores})*{pool.proportion}/({count}*{whole}-SUM({ratings})),3)"
        tab.formula(rows["scratch scoring average"], 2, share, float(rating.ssa))
    else:
        tab.put(rows["scratch scoring average"], 2, float(rating.ssa))
    full = rating.ssa * constants.full_round / rating.holes
    tab.formula(
        rows["average over a full round"], 2, f"{ssa}*{constants.full_round}/{rating.holes}", float(full)
    )
    tab.formula(
        rows["rating points per throw"],
        2,
        _points(at(rows["average over a full round"], 2), constants, rating.holes),
        float(rating.points_per_throw),
    )
    tab.put(rows["rating points per throw"], 3, f"{constants.name}: {constants.source}")


def _points(full: str, constants: Constants, holes: int) -> str:
    """Two straight pieces, scaled for other hole counts (`scoring/ratings/compression.py`)."""
    upper = f"{_ratio(constants.upper_intercept)}+{_ratio(constants.upper_slope)}*{full}"
    lower = f"{_ratio(constants.lower_intercept)}+{_ratio(constants.lower_slope)}*{full}"
    return f"IF({full}>{_ratio(constants.bend)},{upper},{lower})*{constants.full_round}/{holes}"


def _ratio(value: object) -> str:
    """A fraction as it stands in a formula, exactly: "(-5/9)"."""
    return f"({value})"


def _rated(tab: Tab, pool: PoolSheet, row: int, *, row_of: dict[str, int]) -> int:
    ssa = _fixed(row_of["scratch scoring average"])
    points = _fixed(row_of["rating points per throw"])
    tab.headings(row, ["player", "division", "score", "rating, estimated"], right_from=3)
    for each in sorted(pool.rating.ratings, key=lambda rated: (-rated.rating, rated.name, rated.key)):
        row += 1
        tab.put(row, 1, each.name)
        tab.put(row, 2, pool.divisions.get(each.key))
        tab.put(row, 3, each.score)
        tab.formula(row, 4, _rating(ssa, points, at(row, 3), pool.constants), each.rating)
        tab.put(row, 5, _interval(each))
    return row


def _rating(ssa: str, points: str, score: str, constants: Constants) -> str:
    """Rounded at the ninth place before it is cut off, since a program reckons 892 as 891.9999999999999."""
    exact = f"{constants.scratch}+({ssa}-{score})*{points}"
    return f"INT(ROUND({exact if constants.cut_off else exact + '+0.5'},9))"


def _interval(rated: Rated) -> str | None:
    if rated.low is None or rated.high is None:
        return None
    return f"interval {rated.low} to {rated.high}"


def _fixed(row: int) -> str:
    return f"$B${row}"


def _excluded(tab: Tab, rating: RoundRating, row: int) -> int:
    if not rating.excluded:
        return row
    tab.headings(row, ["no propagator", "", "", "", "why"])
    for each in rating.excluded:
        row += 1
        tab.put(row, 1, each.name)
        # The director's reason is about a person: it stands with the decisions, for the desk.
        shown = each.detail and each.reason is not Reason.DIRECTOR
        tab.put(row, 5, f"{each.reason}: {each.detail}" if shown else str(each.reason))
    return row + 1
