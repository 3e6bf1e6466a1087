"""Results for other programs: JSON and csv in a format of our own, version 1, described in `results.schema.json`.

Of a player nothing but the name, the town where the event shows it, and the division. What is missing is null in the
JSON and empty in the csv, never zero. Scores are throws, penalty throws included; lengths are metres; moments carry
their offset. Round ratings are estimates and say so in their name; each says by which method, edition and average.
"""

import json
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from events.course.queries import LayoutFacts
from events.setup.models import Event
from events.sheets.safe import write_csv
from scoring.report.rated import RatedRound, RatedRounds, pool_facts
from scoring.standings.queries import DivisionStandings, PlayerRound, Row
from scoring.standings.tallying import Group

FORMAT, FORMAT_VERSION = "starthorn-results", 1


def results_json(
    event: Event, divisions: Sequence[DivisionStandings], ratings: RatedRounds, *, now: datetime
) -> bytes:
    body = {
        "format": FORMAT,
        "version": FORMAT_VERSION,
        "event": {
            "slug": event.slug,
            "name": event.name,
            "tier": event.tier,
            "venue": event.venue or None,
            "starts_on": event.starts_on.isoformat(),
            "ends_on": event.ends_on.isoformat(),
            "time_zone": event.time_zone,
            "over_at": _moment(event, event.over_at),
        },
        "made_at": _moment(event, now),
        "units": {"score": "throws", "length": "metres", "rating": "points, estimated"},
        "ratings": [pool_facts(pool, number) for number, pool in enumerate(ratings.pools, start=1)],
        "divisions": [_division(event, division, ratings) for division in divisions],
    }
    return (json.dumps(body, ensure_ascii=False, indent=1) + "\n").encode()


def _moment(event: Event, moment: datetime | None) -> str | None:
    return event.local(moment).isoformat(timespec="seconds") if moment is not None else None


def _division(event: Event, division: DivisionStandings, ratings: RatedRounds) -> dict[str, Any]:
    return {
        "code": division.code,
        "name": division.name or None,
        "final": division.finished,
        "remarks": list(division.remarks),
        "rounds": [
            {"number": each.number, "layout": _layout(each.layout)} for each in division.rounds if each.begun
        ],
        "players": [_player(event, row, ratings) for row in reported(division)],
    }


def reported(division: DivisionStandings) -> list[Row]:
    """Who stands in a report: not the disqualified (Competition Manual 2025, 5.06.D)."""
    return [row for row in division.rows if row.standing.group is not Group.DQ]


def _layout(layout: LayoutFacts | None) -> dict[str, Any] | None:
    if layout is None:
        return None
    holes = [{"label": hole.label, "par": hole.par, "length_m": hole.length_m} for hole in layout.holes]
    return {"name": layout.name, "holes": holes}


def _player(event: Event, row: Row, ratings: RatedRounds) -> dict[str, Any]:
    standing = row.standing
    return {
        "place": standing.place,
        "tied": standing.tied,
        "decided_by": standing.decided or None,
        "name": standing.name,
        "town": town_of(event, row) or None,
        "state": state_of(row) or None,
        "total": standing.total,
        "to_par": standing.to_par,
        "rounds": [_round(row, each, ratings) for each in row.rounds if each.throws is not None],
    }


def _round(row: Row, played: PlayerRound, ratings: RatedRounds) -> dict[str, Any]:
    result = played.result
    rated = ratings.of(row.entry_id, played.number)
    return {
        "number": played.number,
        "layout": played.layout.name if played.layout else None,
        "throws": list(played.throws or ()),
        "additional_penalties": played.additional,
        "complete": result.complete,
        "total": result.total,
        "to_par": result.to_par,
        "rating_estimated": rated.rating if rated else None,
        "rated_as": rated.number if rated else None,
    }


def town_of(event: Event, row: Row) -> str:
    return row.town if event.show_town else ""


def state_of(row: Row) -> str:
    """Empty for who has a place and every card."""
    standing = row.standing
    return "" if standing.group is Group.RANKED and standing.complete else standing.words


CSV_HEAD = (
    "division", "place", "name", "town", "state", "event_total", "event_to_par", "round", "layout",
    "additional_penalties", "round_total", "round_to_par", "rating_estimated",
    "rating_method", "rating_edition", "rating_ssa",
)  # fmt: skip


def results_csv(event: Event, divisions: Sequence[DivisionStandings], ratings: RatedRounds) -> bytes:
    """A line for each player and round, the holes after the fixed columns as h1, h2 … in layout order. Who has no
    card yet has one line without a round."""
    lines = [
        (_fixed(event, division, row, played, ratings), list(played.throws or ()) if played else [])
        for division in divisions
        for row in reported(division)
        for played in _played(row)
    ]
    holes = max((len(throws) for _, throws in lines), default=0)
    head = [*CSV_HEAD, *(f"h{number}" for number in range(1, holes + 1))]
    body = [[*fixed, *throws, *[None] * (holes - len(throws))] for fixed, throws in lines]
    return write_csv([head, *body])


def _played(row: Row) -> Sequence[PlayerRound | None]:
    return [each for each in row.rounds if each.throws is not None] or [None]


def _fixed(
    event: Event, division: DivisionStandings, row: Row, played: PlayerRound | None, ratings: RatedRounds
) -> list[str | int | None]:
    standing = row.standing
    facts: list[str | int | None] = [
        division.code,
        standing.place,
        standing.name,
        town_of(event, row),
        state_of(row),
        standing.total,
        standing.to_par,
    ]
    if played is None:
        return [*facts, *[None] * 9]
    rated = ratings.of(row.entry_id, played.number)
    return [
        *facts,
        played.number,
        played.layout.name if played.layout else None,
        played.additional,
        played.result.total,
        played.result.to_par,
        *((rated.rating, *_how(rated)) if rated else (None,) * 4),
    ]


def _how(rated: RatedRound) -> tuple[str, str, str]:
    rating = rated.pool.rating
    return rating.method.value, rating.edition, str(rated.ssa)
