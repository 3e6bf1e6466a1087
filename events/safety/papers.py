"""The papers of the course and of those who keep watch, from what the event knows at one moment."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.course.hazards import hazards_on
from events.course.hole_queries import HoleSheet, hole_sheets, shelters_of
from events.course.models import Layout, LayoutUse
from events.paper.page import EventHead
from events.safety import paper_course, paper_people, paper_signs
from events.safety.emergency_fields import components
from events.safety.models import Assignment, EmergencyPlan
from events.safety.paper_course import MeetingFacts
from events.safety.paper_parts import CourseFacts, printed_text
from events.safety.paper_people import NOT_THERE, PlanFacts
from events.safety.queries import notices_now
from events.safety.restart import RestartRule, restart_rule
from events.setup.models import Event
from events.setup.overview import days_text, moment_text
from events.setup.queries import rulebook_for


class NothingToPrint(Exception):
    """There is no layout to print; the message is a sentence to show."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A print: `name` as the page lists it, `use` what it is for. `by_layout`: may be had for one layout alone."""

    name: str
    use: str
    by_layout: bool


PAPERS: Mapping[str, Paper] = {
    "tee-signs": Paper("Tee signs", "One page a hole, to hang at the tee.", True),
    "booklet": Paper(
        "Hole notes", "A booklet for players and marshals: both sides, short edge, fold and staple.", True
    ),
    "course": Paper(
        "Course summary", "One page a layout with the horn, for the desk and the first tee.", True
    ),
    "meeting": Paper("Players’ meeting", "What is said before play, to read aloud.", False),
    "duties": Paper("Marshals and spotters", "Who stands where, and which spotter is missing.", False),
    "emergency": Paper("Emergency plan", "To be posted at every venue.", False),
}


def nobody_above(event: Event) -> Sequence[Assignment]:
    """Where no roster above says who stands where."""
    return ()


def head_of(event: Event) -> EventHead:
    """The event as every sheet names it (no query)."""
    return EventHead(
        name=event.name,
        place=", ".join(filter(None, (event.venue, event.place))),
        dates_text=days_text(event.starts_on, event.ends_on),
        currency=event.currency,
        units="ft" if event.units == "ft" else "m",
        paper="Letter" if event.paper == "Letter" else "A4",
    )


def paper_pdf(
    event: Event,
    what: str,
    now: datetime,
    layout: int | None = None,
    *,
    posted: Callable[[Event], Sequence[Assignment]] = nobody_above,
) -> bytes:
    """One of PAPERS as PDF; `layout` picks one where the paper is made by layout, `posted` says who stands where
    by a roster above.

    Raises KeyError for another name, and NothingToPrint without the layout that is asked for.
    """
    head, printed = head_of(event), printed_text(event, now)
    horn = restart_rule(rulebook_for(event))

    def courses(where: str) -> list[CourseFacts]:
        found = courses_of(event, where, now, layout if PAPERS[what].by_layout else None)
        if PAPERS[what].by_layout and not any(course.holes for course in found):
            raise NothingToPrint("There is no such layout yet: make it under Course.")
        return found

    makers: Mapping[str, Callable[[], bytes]] = {
        "tee-signs": lambda: paper_signs.tee_signs(head, event, courses("tee_sign"), horn, printed=printed),
        "booklet": lambda: paper_course.booklet(head, event, courses("tee_sign"), horn, printed=printed),
        "course": lambda: paper_course.course_summary(
            head, event, courses("tee_sign"), horn, printed=printed
        ),
        "meeting": lambda: paper_course.meeting_sheet(
            head, event, courses("meeting"), horn, meeting_of(event, now), printed=printed
        ),
        "duties": lambda: _duties(event, head, horn, posted(event), printed),
        "emergency": lambda: paper_people.emergency_plan(
            head, plan_of(event), courses("tee_sign"), horn, printed=printed
        ),
    }
    return makers[what]()


def _duties(
    event: Event, head: EventHead, horn: RestartRule, posted: Sequence[Assignment], printed: str
) -> bytes:
    rows, uncovered = duties_of(event, posted), uncovered_of(event, posted)
    return paper_people.assignment_list(head, rows, uncovered, horn, printed=printed)


def courses_of(event: Event, where: str, now: datetime, layout: int | None = None) -> list[CourseFacts]:
    """Every layout, or the one, with the hazards meant for `where` (2 queries, 4 a layout)."""
    played: dict[int, dict[str, None]] = defaultdict(dict)
    uses = LayoutUse.objects.filter(round__event=event).order_by("division__order", "division__code")
    for pk, code in uses.values_list("layout", "division__code"):
        played[pk][code] = None
    rows = Layout.objects.filter(event=event).order_by("name")
    if layout is not None:
        rows = rows.filter(pk=layout)
    found = []
    for row in rows:
        holes = hole_sheets(row)
        hazards = hazards_on(event, [hole.id for hole in holes], where, now)
        divisions = tuple(played.get(row.pk, ()))
        found.append(CourseFacts(row.name, row.version, holes, row.two_metre, hazards, divisions))
    return found


def meeting_of(event: Event, now: datetime) -> MeetingFacts:
    """Starts, shelters, notices and the emergency number (4 queries)."""
    rounds = list(event.rounds.order_by("number"))
    ways, without = shelters_of(event)
    facts = plan_facts(EmergencyPlan.objects.filter(event=event).first())
    told = (
        ("Call", "emergency_number"),
        ("Address", "address"),
        ("Defibrillator", "aed"),
        ("Meet at", "muster"),
    )
    return MeetingFacts(
        starts=tuple(
            f"Round {each.number}: {moment_text(event, event.at(each.date, each.first_start))}"
            for each in rounds
        ),
        notices=tuple((notice.title, notice.text) for notice in notices_now(event, now)),
        ways=ways,
        without=without,
        emergency=tuple((label, facts.get(key) or NOT_THERE) for label, key in told),
    )


def duties_of(event: Event, posted: Sequence[Assignment] = ()) -> list[Assignment]:
    """Who stands where, hole by hole, then the zones (1 query). `posted`: who is handed down from a roster above, as
    rows that are not kept here."""
    rows = Assignment.objects.filter(event=event).select_related("layout_hole__layout")
    return sorted([*rows, *posted], key=_in_order)


def _in_order(row: Assignment) -> tuple[object, ...]:
    """The duties as they are listed, then as the course is walked; zones after the holes."""
    duty = Assignment.Duty.values.index(row.duty)
    hole = row.layout_hole
    if hole is None:
        return (duty, 1, "", 0, row.place, row.shift, row.name, row.pk or 0)
    return (duty, 0, hole.layout.name, hole.position, "", row.shift, row.name, row.pk or 0)


def uncovered_of(event: Event, posted: Sequence[Assignment] = ()) -> list[str]:
    """Holes whose description asks for a spotter while nobody is assigned to them (2 queries, 1 a layout).

    A spotter at a hole of one layout is also there for another layout that plays the same way from the same tee.
    """
    spotters = Assignment.objects.filter(event=event, duty=Assignment.Duty.SPOTTER)
    covered = set(spotters.values_list("layout_hole__hole", flat=True))
    covered |= {
        row.layout_hole.hole_id
        for row in posted
        if row.duty == Assignment.Duty.SPOTTER and row.layout_hole is not None
    }
    found = []
    for layout in Layout.objects.filter(event=event).order_by("name"):
        physical = dict(layout.layout_holes.values_list("pk", "hole"))
        asking = [
            hole for hole in hole_sheets(layout) if hole.details.spotter and physical[hole.id] not in covered
        ]
        found += [_lacking_words(layout, hole) for hole in asking]
    return found


def _lacking_words(layout: Layout, hole: HoleSheet) -> str:
    return f"{layout.name} {hole.label}, {hole.tee_name}"


def plan_facts(plan: EmergencyPlan | None) -> Mapping[str, str]:
    return dict(plan.facts) if plan is not None else {}


def plan_of(event: Event) -> PlanFacts:
    """The emergency plan with its published components as they stand (2 queries)."""
    plan = EmergencyPlan.objects.filter(event=event).first()
    updated_on = event.local(plan.changed_at).date() if plan else None
    facts = plan_facts(plan)
    ways, without = shelters_of(event)
    return PlanFacts(
        facts=facts,
        components=components(facts, updated_on=updated_on, on=event.starts_on),
        updated=f"{moment_text(event, plan.changed_at)}, {plan.changed_by}" if plan else "",
        version=plan.version if plan else 0,
        shelters=ways,
        without_shelter=without,
    )


def layouts_to_print(event: Event) -> Sequence[Layout]:
    """The layouts by name (1 query)."""
    return list(Layout.objects.filter(event=event).order_by("name"))
