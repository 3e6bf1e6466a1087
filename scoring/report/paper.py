"""The results of an event as the sheet that `prints` draws."""

from collections.abc import Collection
from datetime import datetime

from events.setup.models import Event
from events.setup.overview import moment_text
from scoring.ratings.queries import ratings_of
from scoring.report.division_sheet import DECIDED
from scoring.report.prints import ResultDivision, ResultRow, results_sheet
from scoring.report.rated import RatedRounds, rated_rounds
from scoring.report.results import reported, state_of, town_of
from scoring.standings.paper import head_of
from scoring.standings.queries import DivisionStandings, Row, standings
from scoring.standings.showing import division_sub


def results_pdf(event: Event, *, codes: Collection[str] | None, now: datetime) -> bytes:
    """The results of the divisions asked for, None: of all. Raises ValueError while there is nobody to print."""
    ratings = rated_rounds(ratings_of(event))
    shown = standings(event, divisions=codes)
    divisions = [_division(event, each, ratings) for each in shown]
    return results_sheet(
        head_of(event),
        divisions,
        final=event.over_at is not None,
        methods=ratings.methods({each.code for each in shown}),
        printed=f"printed {moment_text(event, now)}",
    )


def _division(event: Event, division: DivisionStandings, ratings: RatedRounds) -> ResultDivision:
    numbers = [each.number for each in division.rounds if each.begun]
    rows = tuple(_row(event, row, numbers, ratings) for row in reported(division))
    return ResultDivision(division.code, division.name, division_sub(division), rows)


def _row(event: Event, row: Row, numbers: list[int], ratings: RatedRounds) -> ResultRow:
    standing = row.standing
    rounds = {each.number: each.result for each in row.rounds}
    return ResultRow(
        place=standing.place,
        tied=standing.tied,
        name=standing.name,
        town=town_of(event, row),
        total=standing.total,
        to_par=standing.to_par,
        rounds=tuple(rounds[number].total if number in rounds else None for number in numbers),
        ratings=tuple(
            rated.rating if (rated := ratings.of(row.entry_id, number)) else None for number in numbers
        ),
        words=state_of(row) or DECIDED.get(standing.decided, ""),
    )
