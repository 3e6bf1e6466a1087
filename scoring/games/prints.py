"""The side games on paper: one block for each, from what came in to what stays. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document


@dataclass(frozen=True)
class PotRow:
    """Money in (above zero) or to a winner (below), in cents."""

    words: str
    state: str
    cents: int


@dataclass(frozen=True)
class GameSheet:
    """`note`: how a raffle can be checked, else empty. `money` writes cents in the event's currency."""

    heading: str
    rows: tuple[PotRow, ...]
    rest_words: str
    rest: int
    note: str
    money: Callable[[int], str]


def side_games(head: EventHead, games: Sequence[GameSheet], *, note: str, printed: str) -> bytes:
    """One PDF of all games; each is kept on one page where it fits."""
    columns = (Column("", 62), Column("", 18), Column("amount", 20, "right"))
    blocks = tuple(Block(_rows(game), game.heading, whole=True) for game in games)
    under = " · ".join(filter(None, (head.name, head.place, head.dates_text, "apart from fees and purse")))
    listing = Listing("Side games", under, columns, blocks, note=note)
    return document(head, [Part("side games", listing_pages(head, listing))], printed=printed)


def _rows(game: GameSheet) -> tuple[Row, ...]:
    rows = [Row((Cell(row.words), Cell(row.state, size=9), Cell(game.money(row.cents)))) for row in game.rows]
    rows.append(
        Row(
            (
                Cell(game.rest_words, Style.BOLD, below=game.note),
                Cell(),
                Cell(game.money(game.rest), Style.BOLD),
            ),
            heavy=True,
        )
    )
    return tuple(rows)
