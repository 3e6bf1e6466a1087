"""The rounds of each layout, for what ratings say about its holes."""

from collections.abc import Mapping
from dataclasses import dataclass

from events.course.queries import LayoutFacts
from events.entries.models import Status
from events.setup.models import Event
from events.setup.queries import rulebook_for
from scoring.cards.models import Ruling
from scoring.penalties.queries import not_played_in
from scoring.ratings.course import CourseReport, RoundPlayed, course_report
from scoring.ratings.rules import course_rules_from
from scoring.standings.loading import ScoreLine, load


@dataclass(frozen=True, slots=True)
class LayoutReport:
    """A layout with its report; `rounds` are the numbers of the rounds that it rests on."""

    layout: LayoutFacts
    rounds: tuple[int, ...]
    report: CourseReport


def course_reports(event: Event, number: int | None = None) -> list[LayoutReport]:
    """Every layout with a complete round, over all rounds or the one asked for (as `load`, and 3 queries).

    Rounds of who was disqualified say nothing about a hole, and are left out; so are holes that a player did not play,
    and scores that a ruling changed: what they add to par the hole did not ask for.
    """
    facts = load(event)
    rules = course_rules_from(rulebook_for(event))
    unplayed = _unplayed(event)
    found = []
    for layout in facts.layouts.values():
        rounds: list[RoundPlayed] = []
        numbers: set[int] = set()
        for round in facts.rounds:
            if number is not None and round.number != number:
                continue
            for entry in facts.entries:
                played = facts.layout_for(round.pk, entry)
                line = facts.line_of(round.pk, entry)
                if played is None or played.id != layout.id or line is None:
                    continue
                if None not in line.throws and entry.status != Status.DISQUALIFIED:
                    kept = _kept(layout, line, unplayed.get((round.pk, entry.pk), {}))
                    rounds.append(RoundPlayed(entry.rating, kept))
                    numbers.add(round.number)
        report = course_report([hole.label for hole in layout.holes], layout.pars, rounds, rules)
        if report is not None:
            found.append(LayoutReport(layout, tuple(sorted(numbers)), report))
    return found


_Unplayed = dict[tuple[int, int], dict[str, int | None]]


def _unplayed(event: Event) -> _Unplayed:
    """(round id, entry id) → label of each hole that was not played, with what that was scored, and of each that a
    ruling changed, with None (2 queries)."""
    found: _Unplayed = {key: dict(holes) for key, holes in not_played_in(event).items()}
    ruled = Ruling.objects.filter(round__event=event, taken_back_at=None).exclude(hole_label="")
    for round_id, entry_id, label in ruled.exclude(in_card=True).values_list(
        "round_id", "entry_id", "hole_label"
    ):
        found.setdefault((round_id, entry_id), {})[label] = None
    return found


def _kept(layout: LayoutFacts, line: ScoreLine, unplayed: Mapping[str, int | None]) -> tuple[int | None, ...]:
    """The throws that were play: an absence counts as one while the score that it gave still stands."""
    return tuple(
        None if hole.label in unplayed and unplayed[hole.label] in (None, score) else score
        for hole, score in zip(layout.holes, line.throws, strict=True)
    )
