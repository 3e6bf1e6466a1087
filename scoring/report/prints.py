"""The results on paper: a sheet to pin up, division by division. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from events.paper.text import number
from scoring.standings.wording import place_marked, to_par_text


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One player: throws and estimated rating of each round in order, None where there is none."""

    place: int | None
    tied: bool
    name: str
    town: str
    total: int | None
    to_par: int | None
    rounds: tuple[int | None, ...]
    ratings: tuple[int | None, ...]
    words: str = ""


@dataclass(frozen=True, slots=True)
class ResultDivision:
    code: str
    name: str
    sub: str
    rows: tuple[ResultRow, ...]


def results_sheet(
    head: EventHead,
    divisions: Sequence[ResultDivision],
    *,
    final: bool,
    methods: Sequence[str] = (),
    printed: str = "",
) -> bytes:
    """Every division with its places as PDF; `final`: the event is over; `methods` say how rounds were rated.

    Raises ValueError for nobody at all.
    """
    shown = [division for division in divisions if division.rows]
    if not shown:
        raise ValueError("Nobody is entered yet.")
    rounds = max(len(row.rounds) for division in shown for row in division.rows)
    towns = any(row.town for division in shown for row in division.rows)
    rated = any(rating for division in shown for row in division.rows for rating in row.ratings)
    columns = (
        Column("place", 8),
        Column("player", 34),
        *((Column("town", 18),) if towns else ()),
        *(Column(f"R{index}", 8, "right") for index in range(1, rounds + 1)),
        Column("total", 9, "right"),
        Column("to par", 9, "right"),
        Column("", 18),
    )
    state = "final results" if final else "results as they stand, not final"
    under = " · ".join(filter(None, (head.name, head.place, head.dates_text, state)))
    note = "Equal scores share a place."
    if rated:
        note += " Under each round: its rating, estimated and never official."
        note += f" {'; '.join(methods)}." if methods else ""
    listing = Listing(
        "Results",
        under,
        columns,
        tuple(_block(division, rounds, towns=towns) for division in shown),
        note=note,
        landscape=rounds > 4,
    )
    return document(head, [Part("results", listing_pages(head, listing))], printed=printed)


def _block(division: ResultDivision, rounds: int, *, towns: bool) -> Block:
    heading = " · ".join(filter(None, (division.code, division.name, division.sub)))
    return Block(tuple(_row(row, rounds, towns=towns) for row in division.rows), heading, whole=True)


def _row(row: ResultRow, rounds: int, *, towns: bool) -> Row:
    padding = (None,) * (rounds - len(row.rounds))
    played = zip((*row.rounds, *padding), (*row.ratings, *padding), strict=True)
    return Row(
        (
            Cell(place_marked(row.place, tied=row.tied), Style.HEAD, 13),
            Cell(row.name, Style.BOLD, 10.5),
            *((Cell(row.town, size=9.5),) if towns else ()),
            *(
                Cell(number(total), size=10.5, below=str(rating) if rating is not None else "")
                for total, rating in played
            ),
            Cell(number(row.total), Style.BOLD, 11),
            Cell(to_par_text(row.to_par), Style.BOLD, 11),
            Cell(row.words, size=9),
        )
    )
