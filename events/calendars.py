"""Writing an iCalendar file (RFC 5545). Pure.

Lines end in CR LF and are folded at 75 octets without cutting a letter (3.1); text is escaped (3.3.11); moments are in
UTC (3.3.5), which needs no table of time zones and is right on any device.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

FOLD = 75  # octets in a line, 3.1
ASK_AGAIN = "PT15M"


@dataclass(frozen=True, slots=True)
class Start:
    """One event of the calendar. `uid` is the same for the same thing in every version of it, `sequence` counts the
    versions. `when` is a moment, or a day while the time is not known."""

    uid: str
    sequence: int
    stamp: datetime
    when: datetime | date
    summary: str
    location: str
    description: str
    url: str = ""
    cancelled: bool = False


def calendar(name: str, starts: Iterable[Start]) -> str:
    """The file as a whole. RFC 5545 asks for at least one component: hand over at least one start."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Starthorn//Calendar//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{escaped(name)}",
        f"X-WR-CALNAME:{escaped(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:{ASK_AGAIN}",
        f"X-PUBLISHED-TTL:{ASK_AGAIN}",
    ]
    for start in starts:
        lines += _event(start)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def escaped(text: str) -> str:
    """Text as a value: backslash, semicolon, comma and line breaks escaped, other control characters left out."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    plain = "".join(letter for letter in plain if letter == "\n" or (letter >= " " and letter != "\x7f"))
    for letter in "\\;,":
        plain = plain.replace(letter, f"\\{letter}")
    return plain.replace("\n", "\\n")


def folded(line: str) -> str:
    """A line in pieces of at most 75 octets, each further one led by a space."""
    pieces, piece, room = [], "", FOLD
    for letter in line:
        size = len(letter.encode())
        if size > room:
            pieces.append(piece)
            piece, room = "", FOLD - 1
        piece += letter
        room -= size
    return "\r\n ".join([*pieces, piece])


def _event(start: Start) -> Sequence[str]:
    return [
        "BEGIN:VEVENT",
        f"UID:{escaped(start.uid)}",
        f"DTSTAMP:{_moment(start.stamp)}",
        f"LAST-MODIFIED:{_moment(start.stamp)}",
        f"SEQUENCE:{start.sequence}",
        *_when(start.when),
        f"SUMMARY:{escaped(start.summary)}",
        *([f"LOCATION:{escaped(start.location)}"] if start.location else []),
        *([f"DESCRIPTION:{escaped(start.description)}"] if start.description else []),
        *([f"URL:{start.url}"] if start.url else []),
        f"STATUS:{'CANCELLED' if start.cancelled else 'CONFIRMED'}",
        "END:VEVENT",
    ]


def _when(when: datetime | date) -> list[str]:
    """A start has no end of its own: nobody knows when a round is over. A day ends before the next one."""
    if isinstance(when, datetime):
        return [f"DTSTART:{_moment(when)}"]
    after = when + timedelta(days=1)
    return [f"DTSTART;VALUE=DATE:{when:%Y%m%d}", f"DTEND;VALUE=DATE:{after:%Y%m%d}", "TRANSP:TRANSPARENT"]


def _moment(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"
