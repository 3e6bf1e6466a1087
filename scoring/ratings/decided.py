"""What the director decided about the ratings of an event, read once (4 queries)."""

from dataclasses import dataclass, field
from datetime import time
from fractions import Fraction

from events.setup.models import Event
from scoring.ratings.estimate_words import rounds_words
from scoring.ratings.models import JoinDecision, MethodDecision, PlayerDecision, SplitDecision
from scoring.ratings.round_rating import Choice, Said, Wanted


@dataclass(frozen=True, slots=True)
class Decisions:
    """Keys: pools by their key; layouts by id; rounds with layouts by both ids; rounds with entries by both ids."""

    methods: dict[str, tuple[Wanted, Said]] = field(default_factory=dict)
    joins: dict[int, tuple[frozenset[int], Said]] = field(default_factory=dict)
    splits: dict[tuple[int, int], tuple[tuple[time, ...], Said]] = field(default_factory=dict)
    players: dict[tuple[int, int], PlayerDecision] = field(default_factory=dict)

    def joined(self, layout: int, number: int) -> frozenset[int]:
        """The numbers of the rounds that share an average with this one, itself among them."""
        rounds = self.joins[layout][0] if layout in self.joins else frozenset()
        return rounds if number in rounds else frozenset((number,))


def decisions_of(event: Event) -> Decisions:
    """The newest word on every pool, layout, round and player (4 queries)."""
    return Decisions(
        methods=_methods(event),
        joins=_joins(event),
        splits=_splits(event),
        players={
            (row.round_id, row.entry_id): row
            for row in PlayerDecision.objects.filter(round__event=event, taken_back_at__isnull=True).order_by(
                "pk"
            )
        },
    )


def _methods(event: Event) -> dict[str, tuple[Wanted, Said]]:
    newest = {row.pool: row for row in MethodDecision.objects.filter(event=event).order_by("pk")}
    return {
        pool: (
            Wanted(Choice(row.method), None if row.ssa is None else Fraction(row.ssa)),
            Said(f"Method: {row.get_method_display()}.", row.reason, row.by, row.at),
        )
        for pool, row in newest.items()
        if row.method != MethodDecision.Method.RULEBOOK
    }


def _joins(event: Event) -> dict[int, tuple[frozenset[int], Said]]:
    newest = {row.layout_id: row for row in JoinDecision.objects.filter(layout__event=event).order_by("pk")}
    found = {}
    for layout, row in newest.items():
        if row.rounds:
            words = rounds_words(sorted(row.rounds)).capitalize()
            what = f"{words} share one average. {row.test}".strip()
            found[layout] = (frozenset(row.rounds), Said(what, row.reason, row.by, row.at))
    return found


def _splits(event: Event) -> dict[tuple[int, int], tuple[tuple[time, ...], Said]]:
    rows = SplitDecision.objects.filter(round__event=event).order_by("pk")
    newest = {(row.round_id, row.layout_id): row for row in rows}
    return {
        key: (
            tuple(time.fromisoformat(start) for start in row.starts),
            Said(
                f"Starts from {' and from '.join(row.starts)} on are rated apart: other conditions.",
                row.reason,
                row.by,
                row.at,
            ),
        )
        for key, row in newest.items()
        if row.starts
    }
