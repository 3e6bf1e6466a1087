"""The results workbook, from the sheet of contents to the log.

Every sum that a reader would check is a live formula with its figure beside it (`book.py`). What is for the desk says
so in its title; contacts are nowhere in it, money only where the taker may see money.
"""

from datetime import datetime

from events.log.services import revision
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from events.setup.queries import rulebook_for
from scoring.money.queries import statement
from scoring.prizes.awards import awards_of
from scoring.ratings.queries import PoolRating, ratings_of
from scoring.ratings.rules import constants_from, rules_from
from scoring.report.book import Book, Tab
from scoring.report.division_sheet import division_sheet
from scoring.report.lists import (
    draw_sheet,
    entries_sheet,
    log_sheet,
    penalties_sheets,
    wall,
    weather_sheets,
)
from scoring.report.money_sheets import money_sheet, prizes_sheet
from scoring.report.ratings_sheet import PoolSheet, decisions_sheet, ratings_sheet
from scoring.standings.loading import Facts, load
from scoring.standings.queries import standings_of


def workbook_bytes(event: Event, *, now: datetime, with_money: bool) -> bytes:
    """The workbook as .xlsx: a fixed number of queries, whatever the field."""
    book = Book()
    contents = book.tab("Contents", "what the sheets hold", "everybody")
    facts = load(event)
    as_of = wall(event, now) or now
    for division in standings_of(facts):
        common = _common(facts, division.code)
        division_sheet(book, division, title=event.name, as_of=as_of, common=common, towns=event.show_town)
    pools = pools_of(event)
    ratings_sheet(book, pools)
    draw_sheet(book, event)
    weather_sheets(book, event)
    entries_sheet(book, event)
    penalties_sheets(book, event)
    decisions_sheet(book, pools, lambda moment: wall(event, moment))
    if with_money:
        prizes_sheet(book, awards_of(event), event.currency)
        money_sheet(book, statement(event), event.currency)
    log_sheet(book, event)
    _contents(contents, book, event, as_of)
    return book.to_bytes()


def _common(facts: Facts, code: str) -> dict[int, frozenset[str]]:
    """Round → the holes that alone count of it for a division."""
    division = next(each for each in facts.divisions if each.code == code)
    member = next((entry for entry in facts.entries if entry.division_id == division.pk), None)
    if member is None:
        return {}
    kept = {round.number: facts.common_of(round.pk, member) for round in facts.rounds}
    return {number: labels for number, labels in kept.items() if labels is not None}


def pools_of(event: Event) -> list[PoolSheet]:
    """Every pool of the round ratings with what reckons it anew."""
    book = rulebook_for(event)
    return [_pool(pool, book) for pool in ratings_of(event)]


def _pool(pool: PoolRating, book: Rulebook) -> PoolSheet:
    return PoolSheet(
        title=pool.title,
        rating=pool.rating,
        constants=constants_from(book, pool.rating.edition),
        proportion=rules_from(book).proportion,
        divisions={key: member.division for key, member in pool.members.items()},
        said=pool.said,
    )


def _contents(tab: Tab, book: Book, event: Event, as_of: datetime) -> None:
    tab.put(1, 1, event.name, bold=True)
    state = "the event is over" if event.over_at else "the event is not over: figures may still change"
    tab.rows(
        2,
        [
            [f"as of {as_of:%Y-%m-%d %H:%M}, {revision(event.slug)} acts in the log; {state}"],
            [
                "Sums are formulas: change a figure, and they reckon anew. What is missing is empty, never zero."
            ],
            ["Before you publish it: take out every sheet that is not for everybody."],
        ],
    )
    tab.headings(6, ["sheet", "for", "what it holds"])
    tab.rows(7, [[each.sheet.title, each.for_whom, each.about] for each in book.tabs])
    tab.widths([30, 14, 60])
