"""What everybody is told at one moment: notices, and the hazard notes that are meant for the board."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from events.course.hazard_starts import EFFECTS, SEVERE
from events.course.models import HazardNote
from events.safety.models import Notice
from events.safety.notice_words import NoticeShown, shown_beside
from events.safety.queries import CAUTION, notices_seen
from events.setup.models import Event

SEVERITY_ORDER = ("life", "serious", "minor")


@dataclass(frozen=True, slots=True)
class Told:
    """`rows` in the order in which they are shown; `changes_at`: when they change without an act, None never."""

    rows: tuple[NoticeShown, ...]
    changes_at: datetime | None


def told_at(event: Event, now: datetime, *, stopped: bool) -> Told:
    """Notices that hang, hazards of the course, what was withdrawn (2 queries; 2 more with a hazard).

    `stopped`: play is suspended and the page shows the stop itself, so its notice is not said twice.
    """
    seen = notices_seen(event, now)
    notes = _hazards(event, now)
    rows = shown_beside(seen, event, stopped=stopped)
    begun = [note for note in notes if note.valid_from is None or note.valid_from <= now]
    hazards = tuple(_shown(event, note) for note in begun)
    hanging = tuple(row for row in rows if not row.withdrawn)
    moments = [seen.changes_at, *(note.valid_to for note in notes)]
    moments += [note.valid_from for note in notes if note not in begun]
    return Told(
        (*hanging, *hazards, *rows[len(hanging) :]),
        min((moment for moment in moments if moment is not None), default=None),
    )


def _hazards(event: Event, now: datetime) -> list[HazardNote]:
    """Notes for the board that hold or will hold, the gravest first."""
    rows = HazardNote.objects.filter(
        Q(valid_to__isnull=True) | Q(valid_to__gt=now), event=event, on_board=True, withdrawn_at__isnull=True
    )
    found = rows.order_by("pk").prefetch_related("layout_holes__layout")
    return sorted(found, key=lambda note: SEVERITY_ORDER.index(note.severity))


def _shown(event: Event, note: HazardNote) -> NoticeShown:
    """A hazard note in the words of a notice: what and at which holes; where exactly, and what is done about it."""
    places = sorted(note.layout_holes.all(), key=lambda place: (place.layout.name, place.position))
    holes = ", ".join(f"{place.layout.name} {place.label}" for place in places)
    said = [note.where, note.control, EFFECTS[note.effect] if note.effect else ""]
    text = " ".join(f"{part[0].upper()}{part[1:]}." for part in said if part)
    return NoticeShown(
        kind=f"{str(Notice.Kind.HAZARD.label).capitalize()}, {SEVERE[note.severity].lower()}",
        title=f"{note.what} ({holes})" if holes else note.what,
        text=text,
        until=f"until {event.local(note.valid_to):%H:%M}" if note.valid_to is not None else "",
        caution=CAUTION,
        withdrawn="",
        others=(),
    )
