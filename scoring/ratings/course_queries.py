"""The rounds of each layout, for what ratings say about its holes."""

from dataclasses import dataclass

from events.course.queries import LayoutFacts
from events.entries.models import Status
from events.setup.models import Event
from events.setup.queries import rulebook_for
from scoring.ratings.course import CourseReport, RoundPlayed, course_report
from scoring.ratings.rules import course_rules_from
from scoring.standings.loading import load


@dataclass(frozen=True, slots=True)
class LayoutReport:
    """A layout with its report; `rounds` are the numbers of the rounds that it rests on."""

    layout: LayoutFacts
    rounds: tuple[int, ...]
    report: CourseReport


def course_reports(event: Event, number: int | None = None) -> list[LayoutReport]:
    """Every layout with a complete round, over all rounds or the one asked for (as `load`, and 1 query).

    Rounds of who was disqualified say nothing about a hole, and are left out.
    """
    facts = load(event)
    rules = course_rules_from(rulebook_for(event))
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
                throws = tuple(score for score in line.throws if score is not None)
                if len(throws) == len(layout.holes) and entry.status != Status.DISQUALIFIED:
                    rounds.append(RoundPlayed(entry.rating, throws))
                    numbers.add(round.number)
        report = course_report([hole.label for hole in layout.holes], layout.pars, rounds, rules)
        if report is not None:
            found.append(LayoutReport(layout, tuple(sorted(numbers)), report))
    return found
