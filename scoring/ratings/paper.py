"""A pool's ratings as the sheet that `prints` draws."""

from datetime import datetime

from events.rulebook.loader import Rulebook
from events.setup.models import Event
from scoring.ratings.compression import to_places
from scoring.ratings.pages import METHOD_WORDS, PoolPage, pool_page
from scoring.ratings.prints import Paper, Table, paper
from scoring.ratings.queries import PoolRating
from scoring.standings.paper import head_of

NEVER_OFFICIAL = "Estimated from the scores of this event; official ratings are made by the governing body."


def pool_pdf(event: Event, pool: PoolRating, book: Rulebook, *, now: datetime) -> bytes:
    """Drawing, working, decisions and every rated round (no query)."""
    page = pool_page(pool, book)
    rating = pool.rating
    ssa = "none" if rating.ssa is None else f"{to_places(rating.ssa, 2)} throws"
    sheet = Paper(
        title=f"Round ratings, estimated: {pool.title}",
        under=f"{event.name} · average of a 1000-rated player: {ssa} · method: {METHOD_WORDS[rating.method]}",
        sentences=(NEVER_OFFICIAL, rating.refused, *rating.warnings, *rating.working, *_said(event, pool)),
        drawings=((_caption(page), page.scatter),) if page.scatter else (),
        tables=(_players(page), *_left_out(page)),
    )
    local = event.local(now)
    return paper(head_of(event), sheet, printed=f"printed {local:%a} {local.day} {local:%B %H:%M}")


def _said(event: Event, pool: PoolRating) -> list[str]:
    lines = []
    for said in pool.said:
        local = event.local(said.at)
        reason = f" {said.reason}." if said.reason else ""
        lines.append(
            f"Decided by {said.by}, {local.day} {local:%B %H:%M}. {said.what}{reason}".replace("..", ".")
        )
    return lines


def _caption(page: PoolPage) -> str:
    words = "Throws (up) over rating (right). Filled: propagators. Hollow: left out of the average."
    return f"{words} Grey: the interval of the line." if page.scatter and page.scatter.band else words


def _players(page: PoolPage) -> Table:
    rounds = len(page.pool.rounds) > 1
    return Table(
        "Players",
        (
            ("player", 30),
            ("division", 10),
            *((("round", 7),) if rounds else ()),
            ("throws", 8),
            ("estimated", 13),
            ("interval", 14),
            ("own", 9),
            ("against it", 12),
            ("counts", 12),
        ),
        tuple(
            (
                row.name,
                row.division,
                *((str(row.round),) if rounds else ()),
                str(row.score),
                str(row.rating),
                row.span or "–",
                "–" if row.own is None else f"{row.own} est." if row.own_estimated else str(row.own),
                row.gap or "–",
                "propagator" if row.propagator else "",
            )
            for row in page.rows
        ),
    )


def _left_out(page: PoolPage) -> tuple[Table, ...]:
    rows = tuple(
        (reason, ", ".join(f"{each.name} ({each.detail})" if each.detail else each.name for each in players))
        for reason, players in page.left_out
    )
    return (Table("Left out of the average", (("why", 25), ("who", 75)), rows),) if rows else ()
