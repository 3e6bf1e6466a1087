"""Incidents on paper, for whoever has to have them: every page says that it holds personal data."""

from collections.abc import Callable, Sequence
from datetime import datetime

from events.logistics.incidents.queries import Told
from events.paper.flow import Piece, Sheet, page_room, pages_of, pair, prose, rule
from events.paper.fonts import Style
from events.paper.page import EventHead, Part, Pen, document
from events.paper.text import MISSING

PERSONAL = (
    "Personal data: for the director and the desk, not to be posted or passed on without need. First aid and legal"
    " questions are for those licensed for them."
)


def incident_sheets(
    head: EventHead,
    found: Sequence[Told],
    moment: Callable[[datetime], str],
    *,
    printed: str,
    gone: Sequence[int] = (),
) -> bytes:
    """Each incident on pages of its own, with its additions and lines to sign. `moment` says a time in words; `gone`:
    numbers that were written down and are not there any more, a page for all of them."""
    parts = [
        Part(f"incident {each.incident.number}", pages_of(head, _sheet(head, each, moment)))
        for each in sorted(found, key=lambda each: each.incident.number)
    ]
    if gone:
        parts.append(Part("incidents that are gone", pages_of(head, _gone_sheet(head, gone))))
    return document(head, parts, printed=printed)


def _gone_sheet(head: EventHead, gone: Sequence[int]) -> Sheet:
    room, _ = page_room(head)
    title = "Incidents that are gone"
    words = ", ".join(str(number) for number in gone)
    said = f"Written down, and taken away behind the program: {words}. The log says so."
    body = (*prose(title, room, Style.HEAD, 26), *prose(said, room, Style.BOLD, 12, above=8))
    return Sheet(
        body, prose(f"{title} (continued)", room, Style.HEAD, 14), prose(PERSONAL, room, Style.BODY, 9.5)
    )


def _sheet(head: EventHead, told: Told, moment: Callable[[datetime], str]) -> Sheet:
    room, _ = page_room(head)
    incident = told.incident
    where = incident.place + (f", round {incident.round_number}" if incident.round_number else "")
    facts = (
        ("Kind", incident.get_kind_display()),
        ("When", moment(incident.happened_at)),
        ("Where", where),
        ("Whom it concerns", incident.who),
        ("What happened", incident.what),
        ("Who saw it", incident.witnesses),
        ("What was done or ruled", incident.done),
        ("By whom", incident.done_by),
        ("Written down", f"{moment(incident.written_at)}, {incident.written_by}"),
    )
    body: list[Piece] = [
        *prose(f"Incident {incident.number}", room, Style.HEAD, 26, joins_next=True),
        *prose(" · ".join((head.name, head.place, head.dates_text)), room, Style.BODY, 10.5),
        rule(room, 1.2),
    ]
    for label, text in facts:
        body += _paragraphs(label, text or MISSING, room)
    for addition in told.additions:
        label = f"Added {moment(addition.written_at)}, {addition.written_by}"
        body += [rule(room), *_paragraphs(label, addition.text, room)]
    if not told.as_written:
        body += prose("This is not what was written: the log says so.", room, Style.BOLD, 12, above=8)
    body += [_line_to_sign(label, room) for label in ("Whom it concerns", "Director", "Date")]
    again = prose(f"Incident {incident.number} (continued)", room, Style.HEAD, 14)
    return Sheet(tuple(body), again, prose(PERSONAL, room, Style.BODY, 9.5))


def _paragraphs(label: str, text: str, room: float) -> list[Piece]:
    """The label beside the first paragraph, the others below it."""
    pieces: list[Piece] = []
    for number, part in enumerate(text.splitlines() or [text]):
        pieces += pair("" if number else label, part, room, 11.5, share=0.28, above=1 if number else 5)
    return pieces


def _line_to_sign(label: str, room: float) -> Piece:
    def drawn(pen: Pen, x: float, y: float) -> None:
        pen.text(x, y + 30, label, Style.BODY, 10)
        pen.rule(x + room * 0.28, y + 32, x + room, y + 32)

    return Piece(36.0, drawn)
