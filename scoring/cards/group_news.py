"""What is new since the state that a group's phone has. While a round is played that is mostly a few scores: then the
phone is told these alone, and everything only where anything else was written, which the event's log knows."""

import re
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from events.draw.models import Seat, Sheet
from events.log.actions import Action
from events.log.models import Act, Chain
from events.setup.figures import clock_text
from events.setup.models import Event, Round
from scoring.cards.group_facts import Json, cells_told, line_told
from scoring.cards.group_state import cells_of, newest
from scoring.cards.live import Figures
from scoring.cards.models import HoleEntry, StandingLine

FACTS_HOLD_SECONDS = (
    600  # hazard notes begin and end by the clock: after so long the page is told everything again
)
_NAMED = re.compile(r"(\d{1,18})\.(\d{1,18})\.([0-9a-f]{12})")


@dataclass(frozen=True, slots=True)
class Seen:
    """A moment at which a phone was told everything, or what was new: the last act of the event's log with the start
    of its hash, which another copy of the data does not have, and the span of the clock."""

    revision: int
    span: int
    head: str

    def __str__(self) -> str:
        return f"{self.revision}.{self.span}.{self.head}"


def _seen(revision: int, hash: str, now: datetime) -> Seen:
    return Seen(revision, int(now.timestamp()) // FACTS_HOLD_SECONDS, hash[:12])


def seen_now(event: Event, now: datetime) -> Seen:
    """A name for what can be told at this moment (1 query). Read before the facts, so that no later act is missed."""
    revision, head = Chain.objects.filter(key=event.slug).values_list("length", "head").first() or (0, "")
    return _seen(revision, head, now)


def read_seen(text: str) -> Seen | None:
    named = _NAMED.fullmatch(text)
    return Seen(int(named[1]), int(named[2]), named[3]) if named else None


def nothing_new(round: Round, number: int, had: Seen, heard: int | None, now: Seen) -> bool:
    """Whether a phone that was told everything up to `had` and the entry `heard` has all there is (2 queries; 0 while
    nothing was written at all)."""
    if had == now:
        return True
    if heard is None or had.span != now.span or not _only_scores_since(round.event, had):
        return False
    here = Seat.objects.filter(
        sheet__round=round, sheet__state=Sheet.State.PUBLISHED, group__number=number
    ).values("entry")
    return not HoleEntry.objects.filter(round=round, entry__in=here, pk__gt=heard).exists()


def _only_scores_since(event: Event, had: Seen) -> bool:
    """Whether nothing but scores of phones was written after an act that is in the log (1 query)."""
    acts = Act.objects.filter(chain=event.slug, number__gte=had.revision)
    rows = acts.filter(Q(number=had.revision) | ~Q(action=Action.HOLES_SAID)).order_by("number")
    found = list(rows.values_list("number", "hash")[:2])
    return [(number, hash[:12]) for number, hash in found] == [(had.revision, had.head)]


def news(round: Round, figures: Figures, had: Seen | None, heard: int | None, now: datetime) -> Json | None:
    """The scores that are new to a phone which has just spoken (1 query; 1 more where another phone spoke of other
    players). None: it is to be told everything."""
    seen = _seen(figures.act.number, figures.act.hash, now)
    if had is None or heard is None or had.span != seen.span or not _only_scores_since(round.event, had):
        return None
    new = [row.said for row in figures.said if row.number > heard]
    changed = dict.fromkeys((said.entry_id, said.hole) for said in new)
    kept = [row for row in figures.said if (row.said.entry_id, row.said.hole) in changed]
    typed = {entry: line.throws for entry, line in figures.typed.items()}
    return {
        "seen": str(seen),
        "heard": newest(figures.said),
        "clock": clock_text(round.event.local(now)),
        "cells": cells_told(cells_of(changed, figures.labels, kept, typed, figures.devices)),
        "players": _players(round, figures, {entry for entry, _ in changed}),
    }


def _players(round: Round, figures: Figures, entry_ids: set[int]) -> list[Json]:
    lines = dict(figures.stands)
    others = entry_ids - lines.keys()
    if others:
        lines |= {line.entry_id: line for line in StandingLine.objects.filter(round=round, entry__in=others)}
    return [
        {"entry": entry_id} | line_told(line.throws, line.counted.throws, line.additional, line.total)
        for entry_id, line in lines.items()
    ]
