"""The standings as the sheet that `prints` draws."""

from collections.abc import Sequence
from datetime import datetime

from events.paper.page import EventHead
from events.setup.models import Event
from events.setup.overview import days_text
from scoring.standings import prints
from scoring.standings.going_on import DECLINED
from scoring.standings.queries import DivisionStandings, Row, standings
from scoring.standings.tallying import Group
from scoring.standings.wording import undecided_text


def standings_pdf(
    event: Event, *, divisions: Sequence[str] | None = None, through_round: int | None = None, now: datetime
) -> bytes:
    """The standings on paper; ValueError while there is nobody to print (9 queries)."""
    found = standings(event, divisions=divisions, through_round=through_round, now=now)
    if not found:
        raise ValueError("Nobody is entered yet.")
    local = event.local(now)
    return prints.standings(
        head_of(event),
        [_division(division, show_town=event.show_town) for division in found],
        subtitle=subtitle_of(found),
        note=note_of(found),
        printed=f"printed {local:%a} {local.day} {local:%B %H:%M}",
    )


def head_of(event: Event) -> EventHead:
    return EventHead(
        name=event.name,
        place=event.venue or event.place,
        dates_text=days_text(event.starts_on, event.ends_on),
        currency=event.currency,
        units="ft" if event.units == "ft" else "m",
        paper="Letter" if event.paper == "Letter" else "A4",
    )


def subtitle_of(divisions: Sequence[DivisionStandings]) -> str:
    """How far they are: "all cards in", "after round 1, 2 cards to be decided", "in play"."""
    if all(division.finished for division in divisions):
        return "all cards in"
    numbers = {division.current.number for division in divisions if division.current and division.begun}
    whole = len(numbers) == 1 and all(division.by_total and not division.waiting for division in divisions)
    words = f"after round {numbers.pop()}" if whole else "in play"
    undecided = sum(division.undecided for division in divisions)
    return ", ".join(filter(None, (words, undecided_text(undecided))))


def note_of(divisions: Sequence[DivisionStandings]) -> str:
    missing = sum(row.standing.group is Group.NO_CARD for division in divisions for row in division.rows)
    ties = "Equal scores share a place."
    if not missing:
        return ties
    return f"{ties} {missing} {'player has' if missing == 1 else 'players have'} a card missing and no place."


def _division(division: DivisionStandings, *, show_town: bool) -> prints.DivisionStandings:
    return prints.DivisionStandings(
        code=division.code,
        name=division.name,
        rows=tuple(_row(row, division, show_town=show_town) for row in division.rows),
    )


def _row(row: Row, division: DivisionStandings, *, show_town: bool) -> prints.StandingRow:
    standing = row.standing
    begun = {each.number for each in division.rounds if each.begun}
    whole = standing.group is Group.RANKED and standing.complete
    stays = standing.made_cut is False or standing.words == DECLINED
    return prints.StandingRow(
        place=standing.place,
        name=standing.name,
        tied=standing.tied,
        town=row.town if show_town else "",
        to_par=standing.to_par,
        total=standing.total,
        rounds=tuple(each.result.total for each in row.rounds if each.number in begun),
        holes_played=standing.holes_played or None,
        status=standing.decided if whole and not stays else standing.words,
    )
