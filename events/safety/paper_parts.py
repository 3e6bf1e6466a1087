"""What the papers of the course share: cautions, the horn's legend, hazards in words, the facts of one print."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from events.course.hazard_starts import EFFECTS, RISKS
from events.course.hazards import Hazards
from events.course.hole_queries import HoleSheet
from events.course.hole_words import Sentence, sentences
from events.course.models import HazardNote
from events.paper.flow import Piece, beside, prose
from events.paper.fonts import Style
from events.paper.page import EventHead
from events.paper.text import MISSING
from events.safety.computed import CAUTIONS
from events.safety.restart import RestartRule
from events.setup.models import Event
from events.setup.overview import moment_text

SMALLEST = 9.0  # points: nothing on paper that is read standing is smaller
FEET = 0.3048


@dataclass(frozen=True, slots=True)
class CourseFacts:
    """One layout as it is printed. `hazards` are those meant for the paper in question."""

    name: str
    version: int
    holes: tuple[HoleSheet, ...]
    two_metre: bool
    hazards: Hazards
    divisions: tuple[str, ...] = ()

    @property
    def par(self) -> int:
        return sum(hole.par for hole in self.holes)

    @property
    def length_m(self) -> int | None:
        """None as soon as one length is missing."""
        lengths = [hole.length_m for hole in self.holes if hole.length_m is not None]
        return sum(lengths) if len(lengths) == len(self.holes) else None

    def told(self, hole: HoleSheet, units: str) -> tuple[Sentence, ...]:
        """What players have to know of a hole: its description, then the note of the score card."""
        found = sentences(hole.details, units, two_metre_on_course=self.two_metre)
        return (*found, Sentence("On the card", hole.note)) if hole.note else found


def length_text(metres: int | None, units: str) -> str:
    """`121 m`, `397 ft`, or the dash where it is missing."""
    if metres is None:
        return MISSING
    return f"{metres} m" if units == "m" else f"{round(metres / FEET)} ft"


def hazard_words(event: Event, note: HazardNote) -> str:
    """Everything that a note says, in one line: what, where, control, who is at risk, effect, until when."""
    risks = [words for name, words in RISKS.items() if getattr(note, f"risk_{name}")]
    what = ", ".join(filter(None, (note.what, note.where)))
    said = [
        what,
        note.control,
        f"At risk: {', '.join(risks)}",
        f"In the rules: {EFFECTS[note.effect]}" if note.effect else "",
        f"From {moment_text(event, note.valid_from)}" if note.valid_from else "",
        f"Until {moment_text(event, note.valid_to)}" if note.valid_to else "",
    ]
    return " ".join(f"{text[0].upper()}{text[1:]}." for text in said if text)


def hazard_pieces(event: Event, notes: Sequence[HazardNote], room: float, size: float) -> tuple[Piece, ...]:
    """The notes one under the other, the severity in words before each."""
    found: list[Piece] = []
    for note in notes:
        columns = (
            (note.severe, Style.BOLD, room * 0.24),
            (hazard_words(event, note), Style.BODY, room * 0.76),
        )
        found += beside(columns, size, above=3.0)
    return tuple(found)


def horn_legend(rule: RestartRule) -> tuple[tuple[str, str], ...]:
    """What is sounded and what it means, in the order of a stop; by the rulebook in force."""
    long = "1 long blast" if rule.resume_blasts == 1 else f"{rule.resume_blasts} long blasts"
    return (
        (
            f"{rule.stop_blasts} blasts, again after {rule.repeat_seconds} s",
            "stop play, mark the lie, take shelter",
        ),
        (f"{rule.warning_blasts} blasts", "two minutes until play starts or goes on"),
        (long, "start play, or go on"),
    )


def horn_pieces(rule: RestartRule, room: float, size: float) -> tuple[Piece, ...]:
    """The legend under a heading, with where it stands in the rules."""
    found = list(prose("Horn", room, Style.HEAD, size * 1.5, above=6, joins_next=True))
    for signal, meaning in horn_legend(rule):
        columns = ((signal, Style.BOLD, room * 0.42), (meaning, Style.BODY, room * 0.58))
        found += beside(columns, size)
    ours = "One long blast never means danger here, as it does in ball golf."
    return (*found, *prose(f"{ours} {rule.stop_source}.", room, Style.BODY, max(SMALLEST, size - 2)))


def caution_pieces(room: float) -> tuple[Piece, ...]:
    """The cautions that every print of this slice carries at its foot."""
    return prose(" ".join(CAUTIONS), room, Style.BODY, SMALLEST)


def title_pieces(head: EventHead, title: str, under: str, room: float) -> tuple[Piece, ...]:
    """A sheet's title with event, place and days below it."""
    where = " · ".join(filter(None, (head.name, head.place, head.dates_text, under)))
    return (
        *prose(title, room, Style.HEAD, 26, joins_next=True),
        *prose(where, room, Style.BODY, 10.5, joins_next=True),
    )


def heading_pieces(text: str, room: float, size: float = 15.0) -> tuple[Piece, ...]:
    return prose(text, room, Style.HEAD, size, above=8, joins_next=True)


def again_pieces(text: str, room: float) -> tuple[Piece, ...]:
    """What heads the second and every later page."""
    return prose(f"{text} (continued)", room, Style.HEAD, 14)


def printed_text(event: Event, now: datetime) -> str:
    return f"printed {moment_text(event, now)}"
