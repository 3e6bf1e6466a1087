"""An event that was played to its end, for tests of closing: cards in and verified, a tie, prizes, weather."""

from collections.abc import Sequence
from datetime import timedelta

import build
import build_cards
from events.entries.models import Entry
from events.setup.models import Event
from scoring.cards.models import Card

# Holes of each player and round; None: not thrown. Totals are recounted from here, not from the database.
SCORES: dict[str, list[list[int | None]]] = {
    "Ludvik Moravec": [[3] * 18, [4] * 18],
    "Hale Oyelaran": [[2] * 9 + [5] * 9, [3] * 18],
    "Dov Pennock": [[4] * 18, [3] * 17 + [None]],
    "Niko Eskola": [[3] * 17 + [6], [3] * 17 + [5]],
}
EXTRA = {"Niko Eskola": 2}  # additional penalties in round 1


def play(event: Event, entries: Sequence[Entry], throws: int = 3) -> None:
    """Every round in one group, each player one throw a hole worse than the one before."""
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [list(entries)])
        lines = [build_cards.line(entry, throws + at) for at, entry in enumerate(entries)]
        build_cards.save(round_, 1, lines)


def verify(event: Event) -> None:
    """Every card as somebody verified it."""
    Card.objects.filter(round__event=event).update(
        returned_at=build.NOW, verified_at=build.NOW + timedelta(hours=1), verified_by="Tester"
    )


def recount(name: str) -> tuple[list[int | None], int | None]:
    """Rounds and total as somebody adds them up by hand; None where a hole is missing."""
    rounds: list[int | None] = []
    for at, holes in enumerate(SCORES[name]):
        known = [figure for figure in holes if figure is not None]
        extra = EXTRA.get(name, 0) if at == 0 else 0
        rounds.append(sum(known) + extra if len(known) == 18 else None)
    whole = [figure for figure in rounds if figure is not None]
    return rounds, sum(whole) if len(whole) == 2 else None
