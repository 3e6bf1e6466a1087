"""Papers of the people who keep watch: the list of assignments and the emergency plan to be posted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from events.course.hole_queries import HoleSheet, Shelter
from events.paper.flow import Piece, Sheet, boxed, page_room, pages_of, pair, prose, row
from events.paper.fonts import Style
from events.paper.page import EventHead, Part, document
from events.paper.text import MISSING, number
from events.safety.emergency_fields import GROUPS, SOURCE, Component
from events.safety.models import Assignment
from events.safety.paper_parts import (
    CourseFacts,
    again_pieces,
    caution_pieces,
    heading_pieces,
    horn_pieces,
    title_pieces,
)
from events.safety.restart import RestartRule

NOT_THERE = "missing"
LOG_LINES = 6


# --- Assignments -------------------------------------------------------------------------------------------------


def assignment_list(
    head: EventHead,
    rows: Sequence[Assignment],
    uncovered: Sequence[str],
    horn: RestartRule,
    *,
    printed: str,
) -> bytes:
    """Who stands where, by duty; `uncovered` are holes that need a spotter and have none, each in words."""
    room, _ = page_room(head)
    body: list[Piece] = [*title_pieces(head, "Marshals and spotters", "", room)]
    body += _uncovered(uncovered, room)
    shares = (0.3, 0.3, 0.2, 0.2)
    title = _columns(("where", "who", "telephone or channel", "when"), shares, room, 9.0, Style.BOLD)
    for duty in Assignment.Duty:
        same = [each for each in rows if each.duty == duty]
        if not same:
            continue
        body += [*heading_pieces(str(duty.label).capitalize(), room), title]
        for each in same:
            texts = (each.place, each.name, each.channel or MISSING, each.shift or MISSING)
            body.append(_columns(texts, shares, room, 11.0, Style.BODY))
    if not rows:
        body += prose("Nobody is assigned yet.", room, Style.BODY, 11, above=8)
    body += horn_pieces(horn, room, 11)
    sheet = Sheet(tuple(body), again_pieces("Marshals and spotters", room), caution_pieces(room))
    return document(head, [Part("marshals and spotters", pages_of(head, sheet))], printed=printed)


def _uncovered(uncovered: Sequence[str], room: float) -> list[Piece]:
    if not uncovered:
        return []
    inner = room - 16
    lines = [*prose("Nobody is assigned where a spotter is needed", inner, Style.BOLD, 11)]
    for words in uncovered:
        lines += prose(words, inner, Style.BODY, 11)
    return [boxed(lines, room, above=8)]


def _columns(texts: Sequence[str], shares: Sequence[float], room: float, size: float, style: Style) -> Piece:
    return row([(text, style, room * share) for text, share in zip(texts, shares, strict=True)], size)


# --- Emergency plan ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """The plan ready to print. `updated`: when and by whom, "" while nothing is written."""

    facts: Mapping[str, str]
    components: tuple[Component, ...]
    updated: str
    version: int
    shelters: tuple[Shelter, ...]
    without_shelter: tuple[str, ...]


def emergency_plan(
    head: EventHead,
    plan: PlanFacts,
    courses: Sequence[CourseFacts],
    horn: RestartRule,
    *,
    printed: str,
) -> bytes:
    """The plan as it is posted: what to do first on top, what is missing in a box, lines for a log at the end."""
    room, _ = page_room(head)
    body: list[Piece] = [*title_pieces(head, "Emergency plan", plan.updated or "not written yet", room)]
    body += _call_first(plan, room)
    body += _lacking(plan.components, room)
    for name, fields in GROUPS.items():
        body += heading_pieces(name, room)
        for field in fields:
            text = "; ".join(
                plan.facts.get(field.key, "").splitlines()
            )  # a line of the plan is one thing of several
            body += pair(field.label, text or NOT_THERE, room, 10.5, share=0.32, above=2)
    body += horn_pieces(horn, room, 10.5)
    body += _shelters(plan, room)
    for course in courses:
        body += _access(course, room)
    body += _log_lines(room)
    sheet = Sheet(tuple(body), again_pieces("Emergency plan", room), caution_pieces(room))
    version = f"version {plan.version}" if plan.version else ""
    return document(head, [Part("emergency plan", pages_of(head, sheet))], printed=printed, version=version)


def _call_first(plan: PlanFacts, room: float) -> list[Piece]:
    """The number and the address that are read out to it, large."""
    inner = room - 16
    lines = [
        *prose(f"Call {plan.facts.get('emergency_number') or f'({NOT_THERE})'}", inner, Style.HEAD, 30),
        *prose(f"Address: {plan.facts.get('address') or NOT_THERE}", inner, Style.BOLD, 13),
        *prose(f"Ambulance gate: {plan.facts.get('ambulance_gate') or NOT_THERE}", inner, Style.BODY, 13),
    ]
    return [boxed(lines, room, above=8)]


def _lacking(found: Sequence[Component], room: float) -> list[Piece]:
    """Which of the published components are not there; a plan is shown as it is, never as whole."""
    lacking = [component for component in found if component.lacks]
    there = len(found) - len(lacking)
    text = f"{there} of {len(found)} published components are there ({SOURCE})."
    pieces = [*prose(text, room, Style.BODY, 10, above=6, joins_next=bool(lacking))]
    for component in lacking:
        pieces += pair(f"Not there: {component.name}", component.lacks, room, 10, share=0.5, above=1)
    return pieces


def _shelters(plan: PlanFacts, room: float) -> list[Piece]:
    pieces = [*heading_pieces("Shelters", room)]
    for shelter in plan.shelters:
        longest = shelter.longest_minutes
        way = f"at most {longest} min from" if longest is not None else "minutes not known from"
        pieces += pair(shelter.name, f"{way} {', '.join(shelter.holes)}", room, 10.5, share=0.32, above=2)
    if plan.without_shelter or not plan.shelters:
        where = ", ".join(plan.without_shelter) or "every hole"
        pieces += pair(NOT_THERE, f"no shelter named at {where}", room, 10.5, share=0.32, above=2)
    return pieces


def _access(course: CourseFacts, room: float) -> list[Piece]:
    """Hole by hole, how an ambulance comes near."""
    shares = (0.1, 0.36, 0.22, 0.32)
    title = _columns(("hole", "nearest access", "tee at", "shelter, minutes"), shares, room, 9.0, Style.BOLD)
    return [
        *heading_pieces(f"{course.name}: how to get there", room),
        title,
        *(_columns(_access_texts(hole), shares, room, 10.0, Style.BODY) for hole in course.holes),
    ]


def _access_texts(hole: HoleSheet) -> tuple[str, str, str, str]:
    details = hole.details
    minutes = number(details.shelter_minutes)
    shelter = f"{details.shelter}, {minutes}" if details.shelter else NOT_THERE
    return (hole.label, details.ambulance or NOT_THERE, details.tee_at or MISSING, shelter)


def _log_lines(room: float) -> list[Piece]:
    """Lines to write on while it happens."""
    shares = (0.14, 0.42, 0.28, 0.16)
    columns = ("time", "what happened", "what was decided", "by whom")
    title = _columns(columns, shares, room, 9.0, Style.BOLD)
    blank = Piece(26.0, lambda pen, x, y: pen.rule(x, y + 26, x + room, y + 26), joins_next=True)
    last = Piece(26.0, blank.draw)
    heading = heading_pieces("Log", room)
    return [*heading, Piece(title.height, title.draw, joins_next=True), *[blank] * (LOG_LINES - 1), last]
