"""The standings as plain data for other pages, as `public_openapi.py` describes them (no query).

A name, the town where the event shows it, the division and scores: nothing else of a player comes in here.
"""

from typing import Any

from events.setup.models import Event
from scoring.standings.marks import cut_shown, cut_words
from scoring.standings.overall import Overall
from scoring.standings.queries import DivisionRound, DivisionStandings, PlayerRound, Row
from scoring.standings.showing import division_sub
from scoring.standings.tallying import Group

STATES = {
    Group.RANKED: "ranked",
    Group.NOT_STARTED: "not started",
    Group.NO_CARD: "card missing",
    Group.DNF: "did not finish",
    Group.DQ: "disqualified",
}


def event_data(event: Event) -> dict[str, Any]:
    return {
        "slug": event.slug,
        "name": event.name,
        "first_day": event.starts_on.isoformat(),
        "last_day": event.ends_on.isoformat(),
        "time_zone": event.time_zone,
        "over": event.over_at is not None,
    }


def division_data(division: DivisionStandings, *, show_town: bool) -> dict[str, Any]:
    cut = cut_shown(division)
    return {
        "code": division.code,
        "name": division.name,
        "words": division_sub(division),
        "settled": division.settled,
        "by_total": division.by_total,
        "undecided": division.undecided,
        "cut": cut_words(cut) if cut else None,
        "rounds": [_round(each) for each in division.rounds],
        "players": [_player(row, show_town=show_town) for row in division.rows],
    }


def overall_data(found: Overall, *, show_town: bool) -> dict[str, Any]:
    """As one division, with the codes of those whose players stand in it, and without a cut: cuts are a division's."""
    data = division_data(found.list, show_town=show_town)
    return {
        "divisions": list(found.codes),
        **{key: value for key, value in data.items() if key not in {"code", "name", "cut"}},
    }


def _round(round: DivisionRound) -> dict[str, Any]:
    layout = round.layout
    return {
        "number": round.number,
        "begun": round.begun,
        "layout": layout.name if layout else None,
        "par": layout.par if layout else None,
        "holes": [{"label": hole.label, "par": hole.par} for hole in layout.holes] if layout else [],
    }


def _player(row: Row, *, show_town: bool) -> dict[str, Any]:
    standing = row.standing
    return {
        "entry": row.entry_id,
        "name": standing.name,
        "town": row.town if show_town else None,
        "division": standing.division,
        "state": STATES[standing.group],
        "words": standing.words,
        "place": standing.place,
        "tied": standing.tied,
        "places_won": row.moved,
        "decided_by": standing.decided or None,
        "made_cut": standing.made_cut,
        "to_par": standing.to_par,
        "total": standing.total,
        "holes_played": standing.holes_played,
        "rounds": [_score(each) for each in row.rounds],
    }


def _score(round: PlayerRound) -> dict[str, Any]:
    result = round.result
    return {
        "number": round.number,
        "total": result.total,
        "to_par": result.to_par,
        "holes_played": result.played,
        "complete": result.complete,
        "undecided_holes": list(round.open.holes) if round.open else [],
        "undecided_card": round.open is not None and round.open.card,
        "additional": round.additional,
        "starts_at_hole": round.layout.holes[round.start_index].label
        if round.layout and round.start_index < len(round.layout.holes)
        else None,
        "throws": list(round.throws) if round.throws is not None else None,
    }
