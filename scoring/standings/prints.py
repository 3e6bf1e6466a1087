"""The standings on paper, division by division."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document
from events.paper.text import number
from scoring.standings.wording import place_marked, to_par_text


@dataclass(frozen=True)
class StandingRow:
    """One player's line; None is a figure that does not exist (no card yet), shown as a dash.

    `place` is None for who has none; `status` is the published word ("did not finish"), else empty.
    `rounds` are throws per round in order; `to_par` and `holes_played` are over the whole event.
    """

    place: int | None
    name: str
    tied: bool = False
    town: str = ""
    to_par: int | None = None
    total: int | None = None
    rounds: tuple[int | None, ...] = ()
    holes_played: int | None = None
    status: str = ""


@dataclass(frozen=True)
class DivisionStandings:
    """A division's lines in the order in which they are to be printed."""

    code: str
    name: str
    rows: tuple[StandingRow, ...]
    note: str = ""


def standings(
    head: EventHead,
    divisions: Sequence[DivisionStandings],
    *,
    subtitle: str = "",
    note: str = "",
    printed: str = "",
    version: str = "",
) -> bytes:
    """The standings as PDF; a division is kept on one page where it fits, else its heading is repeated.

    `subtitle` says after which round, `note` the tie-break or that cards are missing.
    """
    rounds = max((len(row.rounds) for division in divisions for row in division.rows), default=0)
    towns = any(row.town for division in divisions for row in division.rows)
    columns = (
        Column("place", 9),
        Column("player", 36),
        *((Column("town", 20),) if towns else ()),
        Column("to par", 9, "right"),
        Column("total", 9, "right"),
        *(Column(f"R{index}", 7, "right") for index in range(1, rounds + 1)),
        Column("holes", 8, "right"),
        Column("", 16),
    )
    blocks = tuple(_block(division, rounds, towns=towns) for division in divisions if division.rows)
    under = " · ".join(filter(None, (head.name, head.place, head.dates_text, subtitle)))
    listing = Listing("Standings", under, columns, blocks, note=note)
    return document(head, [Part("standings", listing_pages(head, listing))], printed=printed, version=version)


def _block(division: DivisionStandings, rounds: int, *, towns: bool) -> Block:
    heading = " · ".join(filter(None, (division.code, division.name, division.note)))
    return Block(tuple(_row(row, rounds, towns=towns) for row in division.rows), heading, whole=True)


def _row(row: StandingRow, rounds: int, *, towns: bool) -> Row:
    played = (*row.rounds, *(None,) * (rounds - len(row.rounds)))
    return Row(
        (
            Cell(place_marked(row.place, tied=row.tied), Style.HEAD, 13),
            Cell(row.name, Style.BOLD, 10.5),
            *((Cell(row.town, size=9.5),) if towns else ()),
            Cell(to_par_text(row.to_par), Style.BOLD, 11),
            Cell(number(row.total), size=11),
            *(Cell(number(throws), size=10) for throws in played),
            Cell(number(row.holes_played), size=10),
            Cell(row.status, size=9),
        )
    )
