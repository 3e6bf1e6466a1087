"""What a group's page is told, as plain JSON: the holes in the order of play, the players, and how the card stands.

The page goes on without the laptop for the whole round, so it is told everything at once. Nothing here is about other
groups, and of players only what their card shows: name, division, scores.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from events.course.hazard_starts import CAUTION
from events.course.hazards import Hazards
from events.course.hole_details import from_json
from events.course.hole_words import sentences
from events.course.models import HazardNote, Layout
from events.course.models import HoleDetails as DetailsRow
from events.course.queries import HoleFacts
from events.safety.models import Position
from events.setup.figures import clock_text, length_text
from events.setup.models import Event
from scoring.cards.group_state import GroupNow, PhoneCell
from scoring.cards.models import GroupMessage
from scoring.cards.states import CardState

Json = dict[str, Any]
ALWAYS_SHOWN = (
    "Mandatory",
    "Drop zone",
)  # what a group must know before it throws; the rest opens with a tap


def told(group: GroupNow, *, seen: str, now: datetime) -> Json:
    """Everything the page shows and goes on with (2 queries); `seen` and `heard` name this state when the page asks
    again."""
    round, state, event = group.round, group.state, group.round.event
    hazards = group.hazards
    return {
        "seen": seen,
        "heard": group.heard,
        "clock": clock_text(event.local(now)),
        "place": f"{event.pk}.{round.number}.{state.number}",
        "event": event.name,
        "round": round.number,
        "group": state.number,
        "starts": clock_text(event.local(state.starts_at)),
        "start": state.start_label,
        "second": state.second,
        "layout": state.layout.name,
        "par": state.layout.par,
        "holes": _holes(event, state, hazards),
        "hazards": [_hazard(event, note) for note in hazards.course],
        "caution": CAUTION if hazards.course or hazards.by_hole else "",
        "players": _players(group),
        "cells": cells_told(group.cells),
        "yes": _yes(event, group),
        "verified": group.verified,
        "over": event.over_at is not None,
        "stood": _stood(event, group.stood),
        "messages": [_message(event, row) for row in group.messages],
    }


def _holes(event: Event, state: CardState, hazards: Hazards) -> list[Json]:
    """In the order in which the group plays them; `index` is the place in the layout (2 queries)."""
    ids = [hole.id for hole in state.layout.holes]
    rows = DetailsRow.objects.filter(layout_hole__in=ids).values_list("layout_hole_id", "facts")
    described = {place: from_json(facts) for place, facts in rows}
    on_course = Layout.objects.filter(pk=state.layout.id).values_list("two_metre", flat=True).get()
    found = []
    for index, hole in state.holes:
        details = described.get(hole.id)
        said = sentences(details, event.units, two_metre_on_course=on_course) if details else ()
        shown = [line for line in said if line.heading.startswith(ALWAYS_SHOWN)]
        found.append(
            _hole(event, index, hole)
            | {
                "words": [[line.heading, line.text] for line in shown],
                "more": [[line.heading, line.text] for line in said if line not in shown],
                "hazards": [_hazard(event, note) for note in hazards.by_hole.get(hole.id, ())],
            }
        )
    return found


def _hole(event: Event, index: int, hole: HoleFacts) -> Json:
    length = length_text(hole.length_m, event.units) if hole.length_m is not None else ""
    return {"index": index, "label": hole.label, "par": hole.par, "length": length, "note": hole.note}


def _hazard(event: Event, note: HazardNote) -> list[str]:
    """The words in bold and those after them, as everywhere else a hazard note is read."""
    rest = [f"{text[0].upper()}{text[1:]}." for text in (note.where, note.control) if text]
    until = f"Until {clock_text(event.local(note.valid_to))}." if note.valid_to else ""
    return [f"{note.severe}: {note.what}.", " ".join([*rest, *([until] if until else [])])]


def _players(group: GroupNow) -> list[Json]:
    players = group.state.players
    families = [player.family_name for player in players]
    rulings: dict[int, list[str]] = {}
    for line in group.rulings:
        if line.ruling.taken_back_at is None:
            said = f"{line.where}: {line.throws} {line.ruling.what}."
            rulings.setdefault(line.ruling.entry_id, []).append(said)
    return [
        {
            "entry": player.entry_id,
            "name": player.name,
            "short": player.family_name if families.count(player.family_name) == 1 else player.name,
            "division": player.division,
            "status": "" if player.playing else player.status_label,
            "rulings": rulings.get(player.entry_id, []),
        }
        | line_told(player.throws, player.counts, player.additional, player.sum.total)
        for player in players
    ]


def line_told(
    throws: Sequence[int | None], counts: Sequence[int | None], additional: int, total: int | None
) -> Json:
    """A player's figures: `throws` and `additional` as they are written, `counts` and `total` with the rulings.
    "on_total" are throws that stand on no hole."""
    holes = sum(figure for figure in counts if figure is not None)
    return {
        "counts": list(counts),
        "throws": list(throws),
        "additional": additional,
        "on_total": total - holes if total is not None else 0,
    }


def cells_told(cells: Iterable[PhoneCell]) -> list[Json]:
    return [
        {
            "entry": cell.entry_id,
            "hole": cell.hole,
            "typed": cell.typed,
            "said": [
                {"key": voice.key, "device": voice.device, "name": voice.name, "throws": voice.throws}
                for voice in cell.voices
            ],
        }
        for cell in cells
    ]


def _yes(event: Event, group: GroupNow) -> list[Json]:
    return [
        {
            "entry": yes.entry_id,
            "total": yes.total,
            "holds": yes.holds,
            "words": f"{clock_text(event.local(yes.at))}, {yes.source_label}",
        }
        for yes in group.yes.values()
    ]


def _stood(event: Event, stood: Position | None) -> str:
    """Where the group goes on after a suspension, in sentences; empty: there was none."""
    if stood is None:
        return ""
    since = clock_text(event.local(stood.suspension.signalled_at))
    where = f"hole {stood.hole_label}" if stood.hole_label else "where it stood"
    words = f"Play was suspended at {since}: your group goes on from {where}."
    return f"{words} {stood.note}".strip()


def _message(event: Event, row: GroupMessage) -> Mapping[str, Any]:
    return {
        "key": str(row.key),
        "kind": row.kind,
        "hole": row.hole,
        "who": row.entry.person.name if row.entry else "",
        "text": row.text,
        "at": clock_text(event.local(row.at)),
        "answer": row.answer,
        "answered": clock_text(event.local(row.answered_at)) if row.answered_at else "",
    }
