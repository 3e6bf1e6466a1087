"""The roster as a sheet, and a briefing for each who stands a shift. No contact and no age stands on either."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.logistics.crew.pages import DayBlock, ShiftRow
from events.paper.flow import Piece, Sheet, boxed, page_room, pages_of, pair, prose, rule
from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Page, Part, document
from events.paper.text import MISSING

FREE_LINE = "______________________"
SIZES = (12.0, 10.5, 9.0)  # points of what is read at the post
CAUTION = (
    "If somebody is hurt: call for help first, then do what your licence covers, then tell the desk. Stay where no"
    " disc and no vehicle can hit you. Local authorities, the land owner and emergency services come first."
)


# --- The roster --------------------------------------------------------------------------------------------------


def roster_sheet(head: EventHead, days: Sequence[DayBlock], *, printed: str) -> bytes:
    """Every shift by day and hour; a line to write on for each place that is free."""
    columns = (
        Column("hours", 17),
        Column("what", 23),
        Column("where", 25),
        Column("who", 27),
        Column("channel", 14),
        Column("there", 6),
    )
    free = sum(day.missing for day in days)
    counted = f"{free} {'place is' if free == 1 else 'places are'} free" if free else "every place is filled"
    listing = Listing(
        "Roster",
        " · ".join(part for part in (head.name, head.dates_text, counted) if part),
        columns,
        tuple(Block(tuple(line for row in day.rows for line in _lines(row)), day.heading) for day in days),
        note="Hours move with the round they belong to. " + CAUTION,
    )
    return document(head, [Part("roster", listing_pages(head, listing))], printed=printed)


def _lines(row: ShiftRow) -> list[Row]:
    """A line for each who stands the shift and for each place that is free; hours and place once."""
    shift = row.shift
    who = [
        (each.name, each.channel or shift.channel or MISSING, each.there_at is not None)
        for each in shift.stands
    ]
    who += [(FREE_LINE, shift.channel or MISSING, False)] * shift.missing
    found = []
    for number, (name, channel, there) in enumerate(who):
        first = number == 0
        found.append(
            Row(
                (
                    Cell(row.hours if first else "", Style.BOLD, 10),
                    Cell(shift.label if first else ""),
                    Cell(shift.place if first else ""),
                    Cell(name, Style.BODY if name == FREE_LINE else Style.BOLD, 10.5),
                    Cell(channel),
                    Cell(box=True, ticked=there),
                ),
                joins_next=number < len(who) - 1,
                inside=not first,
            )
        )
    return found


# --- Briefings ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BriefShift:
    """One shift as whoever stands it reads it. `beside`: who stands it too."""

    day: str
    hours: str
    duty: str
    place: str
    channel: str
    task: str
    beside: tuple[str, ...]
    long: bool


@dataclass(frozen=True, slots=True)
class Brief:
    name: str
    role: str
    shifts: tuple[BriefShift, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What stands on every briefing: whom to call, and the horn."""

    called: tuple[tuple[str, str], ...]
    horn: tuple[tuple[str, str], ...]
    horn_source: str


def briefing_sheets(head: EventHead, briefs: Sequence[Brief], told: Told, *, printed: str) -> bytes:
    """A sheet for each, to be handed out."""
    parts = [Part(f"briefing, {brief.name}", _pages(head, brief, told)) for brief in briefs]
    return document(head, parts, printed=printed)


def _pages(head: EventHead, brief: Brief, told: Told) -> tuple[Page, ...]:
    """In the largest letters that fit one page; the smallest flow on instead."""
    found: tuple[Page, ...] = ()
    for size in SIZES:
        found = pages_of(head, _sheet(head, brief, told, size))
        if len(found) == 1:
            break
    return found


def _sheet(head: EventHead, brief: Brief, told: Told, size: float) -> Sheet:
    room, _ = page_room(head)
    under = " · ".join(part for part in (brief.role, head.name, head.place, head.dates_text) if part)
    body: list[Piece] = [
        *prose(brief.name, room, Style.HEAD, 28, joins_next=True),
        *prose(under, room, Style.BODY, 10.5, joins_next=True),
    ]
    if not brief.shifts:
        body += prose("No shift is written for you yet: ask the desk.", room, Style.BODY, 12, above=10)
    for shift in brief.shifts:
        body += _shift(shift, room, size)
    body.append(rule(room, 1.2, above=10))
    inner = room - 16
    lines = [piece for label, text in told.called for piece in pair(label, text, inner, 11, share=0.26)]
    body.append(boxed(lines, room, above=6))
    body += prose("Horn", room, Style.HEAD, 15, above=8, joins_next=True)
    for signal, meaning in told.horn:
        body += pair(signal, meaning, room, 11, share=0.42)
    body += prose(told.horn_source, room, Style.BODY, 9)
    again = prose(f"{brief.name} (continued)", room, Style.HEAD, 14)
    return Sheet(tuple(body), again, prose(CAUTION, room, Style.BODY, 9.5))


def _shift(shift: BriefShift, room: float, size: float) -> list[Piece]:
    """Day and hours large, then where, on which channel, with whom, and what to do."""
    facts = [
        ("Where", shift.place),
        ("Channel", shift.channel or MISSING),
        ("With you", ", ".join(shift.beside) or "nobody: call the desk before you leave"),
        ("What to do", shift.task or MISSING),
    ]
    if shift.long:
        facts.append(("Relief", "A long shift: agree with the desk who relieves you, and when."))
    pieces: list[Piece] = [
        rule(room, above=size * 0.8),
        *prose(f"{shift.day}, {shift.hours}", room, Style.HEAD, size * 1.5, joins_next=True),
        *prose(f"{shift.duty[0].upper()}{shift.duty[1:]}", room, Style.BOLD, size * 1.15, joins_next=True),
    ]
    for label, text in facts:
        pieces += pair(label, text, room, size, share=0.18, above=size / 6)
    return pieces
