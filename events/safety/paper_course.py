"""The course on paper: the booklet of hole notes, the one-page summary, the sheet for the players' meeting."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.course.hole_details import HoleDetails
from events.course.hole_queries import HoleSheet, Shelter
from events.course.hole_words import Sentence
from events.paper.booklet import booklet_pages, half_room
from events.paper.flow import Leaf, Piece, Sheet, beside, leaves, page_room, pages_of, pair, prose, row
from events.paper.fonts import Style
from events.paper.page import EventHead, Part, document
from events.paper.text import MISSING, number
from events.safety.paper_parts import (
    CourseFacts,
    again_pieces,
    caution_pieces,
    hazard_pieces,
    heading_pieces,
    horn_pieces,
    length_text,
    title_pieces,
)
from events.safety.paper_signs import hole_leaves
from events.safety.restart import RestartRule
from events.setup.models import Event

AT_MEETING = frozenset({"Mandatory", "Out of bounds", "Two-metre rule", "Spotter", "Hazard", "Relief area"})


# --- Booklet -----------------------------------------------------------------------------------------------------


def booklet(
    head: EventHead, event: Event, courses: Sequence[CourseFacts], horn: RestartRule, *, printed: str
) -> bytes:
    """A cover with horn and common hazards for each layout, then its holes; imposed for folding."""
    found: list[Leaf] = []
    for course in courses:
        found += _course_leaves(head, event, course, horn, printed)
    return document(head, [Part("hole notes", booklet_pages(head, found))])


def _course_leaves(
    head: EventHead, event: Event, course: CourseFacts, horn: RestartRule, printed: str
) -> list[Leaf]:
    frame = half_room(head)
    room, height = frame
    foot = prose(f"{head.name} · {course.name}, version {course.version} · {printed}", room, Style.BODY, 9)
    cover = (
        *prose(head.name, room, Style.HEAD, 26, joins_next=True),
        *prose(f"{course.name}: hole notes", room, Style.HEAD, 20, joins_next=True),
        *prose(" · ".join(filter(None, (head.place, head.dates_text))), room, Style.BODY, 10),
        *prose(_totals(course, head.units), room, Style.BOLD, 11, above=6),
        *horn_pieces(horn, room, 10.5),
        *_common_hazards(event, course, room, 10.0),
        *prose(" ".join(piece for piece in _two_metre(course)), room, Style.BODY, 10, above=6),
    )
    cautions = (*foot, *caution_pieces(room))
    found = [*leaves(Sheet(cover, again_pieces(course.name, room), cautions), height)]
    for hole in course.holes:
        found += hole_leaves(event, course, hole, frame, head.units, cautions)
    return found


def _totals(course: CourseFacts, units: str) -> str:
    length = length_text(course.length_m, units)
    whole = f"length {length}" if course.length_m is not None else "length not known"
    return f"{len(course.holes)} holes · par {course.par} · {whole}"


def _two_metre(course: CourseFacts) -> tuple[str, ...]:
    if course.two_metre:
        return ("The two-metre rule is in force on the whole course, unless a hole says otherwise.",)
    return ("The two-metre rule is not in force, unless a hole says otherwise.",)


def _common_hazards(event: Event, course: CourseFacts, room: float, size: float) -> tuple[Piece, ...]:
    if not course.hazards.course:
        return ()
    return (
        *heading_pieces("On the whole course", room),
        *hazard_pieces(event, course.hazards.course, room, size),
    )


# --- Summary -----------------------------------------------------------------------------------------------------


def course_summary(
    head: EventHead, event: Event, courses: Sequence[CourseFacts], horn: RestartRule, *, printed: str
) -> bytes:
    """Each layout on a page: its holes in a table, common hazards and the horn's legend."""
    parts = [
        Part(f"{course.name}, summary", pages_of(head, summary(head, event, course, horn)))
        for course in courses
    ]
    return document(head, parts, printed=printed)


def summary(head: EventHead, event: Event, course: CourseFacts, horn: RestartRule) -> Sheet:
    """The summary in the largest letters that keep it on one page, 9 points at least."""
    room, height = page_room(head)
    tried = [_summary(head, event, course, horn, room, size) for size in (11.0, 10.0, 9.5, 9.0)]
    return next((sheet for sheet in tried if len(leaves(sheet, height)) == 1), tried[-1])


def _summary(
    head: EventHead, event: Event, course: CourseFacts, horn: RestartRule, room: float, size: float
) -> Sheet:
    shares = (0.1, 0.08, 0.12, 0.38, 0.32)
    headings = ("hole", "par", "length", "watch for", "shelter")
    title = row([(text, Style.BOLD, room * share) for text, share in zip(headings, shares, strict=True)], 9.0)
    rows = [_hole_row(hole, head.units, room, size, shares) for hole in course.holes]
    plays = f"played by {', '.join(course.divisions)}" if course.divisions else "played by nobody yet"
    body = (
        *title_pieces(head, f"{course.name}: the course", f"version {course.version}", room),
        *prose(f"{_totals(course, head.units)} · {plays}", room, Style.BOLD, 11, above=4),
        *prose(" ".join(_two_metre(course)), room, Style.BODY, max(size, 9.0)),
        title,
        *rows,
        *_common_hazards(event, course, room, size),
        *horn_pieces(horn, room, size),
    )
    return Sheet(body, (*again_pieces(course.name, room), title), caution_pieces(room))


def _hole_row(hole: HoleSheet, units: str, room: float, size: float, shares: Sequence[float]) -> Piece:
    minutes = hole.details.shelter_minutes
    shelter = f"{hole.details.shelter}, {number(minutes)} min" if hole.details.shelter else MISSING
    texts = (hole.label, str(hole.par), length_text(hole.length_m, units), short_words(hole.details), shelter)
    styles = (Style.BOLD, *[Style.BODY] * 4)
    return row(
        [(t, style, room * share) for t, style, share in zip(texts, styles, shares, strict=True)], size
    )


def short_words(details: HoleDetails) -> str:
    """The hole in the words of a table: "2 mandatories, out of bounds, drop zone A, spotter"; "nothing noted"."""
    counted = (
        (len(details.mandatories), "mandatory", "mandatories"),
        (len(details.out_of_bounds), "out of bounds", "out-of-bounds areas"),
        (len(details.hazards), "hazard", "hazards"),
        (len(details.relief), "relief area", "relief areas"),
        (len(details.casual), "casual area", "casual areas"),
    )
    words = [one if count == 1 else f"{count} {many}" for count, one, many in counted if count]
    if details.zones:
        names = ", ".join(zone.name for zone in details.zones)
        words.append(f"drop zone {names}" if len(details.zones) == 1 else f"drop zones {names}")
    if details.two_metre in {"on", "objects"}:
        words.append("two-metre rule")
    if details.spotter:
        words.append("spotter")
    return ", ".join(words) or "nothing noted"


# --- Meeting -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class MeetingFacts:
    """`starts`: each round in words; `notices`: title and text of what hangs out; `ways`: shelters; `without`:
    holes that name none; `emergency`: label and value, the value MISSING where it is not known."""

    starts: tuple[str, ...]
    notices: tuple[tuple[str, str], ...]
    ways: tuple[Shelter, ...]
    without: tuple[str, ...]
    emergency: tuple[tuple[str, str], ...]


def meeting_sheet(
    head: EventHead,
    event: Event,
    courses: Sequence[CourseFacts],
    horn: RestartRule,
    meeting: MeetingFacts,
    *,
    printed: str,
) -> bytes:
    """What is said to the players before they go out, to be read aloud from a lectern."""
    room, _ = page_room(head)
    body: list[Piece] = [*title_pieces(head, "Players’ meeting", "", room)]
    body += heading_pieces("When play starts", room)
    for start in meeting.starts or ("No round is planned yet.",):
        body += prose(start, room, Style.BODY, 12)
    body += horn_pieces(horn, room, 12)
    body += _leaving(meeting, room)
    body += heading_pieces("In an emergency", room)
    for label, value in meeting.emergency:
        body += pair(label, value, room, 12)
    for title, text in meeting.notices:
        body += pair(f"Notice: {title}", text or title, room, 12, share=0.3, above=3)
    for course in courses:
        body += _course_talk(head, event, course, room)
    sheet = Sheet(tuple(body), again_pieces("Players’ meeting", room), caution_pieces(room))
    return document(head, [Part("players’ meeting", pages_of(head, sheet))], printed=printed)


def _leaving(meeting: MeetingFacts, room: float) -> list[Piece]:
    """Where to go when play is stopped; a shelter that is not named is said to be missing."""
    found = [*heading_pieces("Where to go when play is stopped", room)]
    if not meeting.ways:
        found += prose("Missing: no hole names a shelter.", room, Style.BOLD, 12)
    for way in meeting.ways:
        longest = (
            f"{way.longest_minutes} min at most" if way.longest_minutes is not None else "time not known"
        )
        found += beside(
            (
                (way.name, Style.BOLD, room * 0.34),
                (longest, Style.BODY, room * 0.2),
                (", ".join(way.holes), Style.BODY, room * 0.46),
            ),
            11,
            above=2,
        )
    if meeting.ways and meeting.without:
        found += prose(f"Missing at: {', '.join(meeting.without)}.", room, Style.BOLD, 11, above=2)
    return found


def _course_talk(head: EventHead, event: Event, course: CourseFacts, room: float) -> list[Piece]:
    found = [*heading_pieces(f"{course.name}: {_totals(course, head.units)}", room)]
    found += prose(" ".join(_two_metre(course)), room, Style.BODY, 12)
    found += hazard_pieces(event, course.hazards.course, room, 12)
    for hole in course.holes:
        told = [s for s in course.told(hole, head.units) if _spoken(s)]
        dangers = course.hazards.by_hole.get(hole.id, ())
        if not told and not dangers:
            continue
        found += prose(f"Hole {hole.label}", room, Style.BOLD, 12, above=5, joins_next=True)
        found += hazard_pieces(event, dangers, room, 11)
        for sentence in told:
            found += pair(sentence.heading, sentence.text, room, 11, share=0.24)
    return found


def _spoken(sentence: Sentence) -> bool:
    return sentence.heading in AT_MEETING or sentence.heading.startswith("Drop zone")
