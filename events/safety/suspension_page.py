"""What the page of a stop shows at the desk: before it, while it lasts, and what was last."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from events.course.hole_queries import shelters_of
from events.log.services import revision
from events.safety.above import PLAYING, WAITING, AboveSafety, GroupStands
from events.safety.computed import CAUTIONS
from events.safety.lightning import Counted
from events.safety.models import Evidence, Position, Suspension
from events.safety.restart import RESUME
from events.safety.resuming import MODES, MOVE_TIMES, new_start
from events.safety.stop_words import evidence_words, holes_words, stop_shown
from events.safety.stopped import Stop, positions_of, stop_of
from events.safety.suspending import CAUSES
from events.safety.weather import as_seen
from events.safety.weather_page import STRIKE_EXAMPLES
from events.setup.models import Event
from events.setup.queries import rulebook_for


@dataclass(frozen=True, slots=True)
class GroupLine:
    """A group with where it stood and, while it waits for its start, when that would be now."""

    group: GroupStands
    stood: Position | None
    state: str
    new_start: datetime | None


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    row: Evidence
    at: datetime
    what: str
    counts: bool
    why: str


def standing_context(event: Event, suspension: Suspension, now: datetime) -> dict[str, Any]:
    """What changes while one looks: clock, evidence, prompter (5 queries, 1 more for the revision)."""
    seen = revision(event.slug)
    stop = stop_of(event, suspension, rulebook_for(event))
    local = event.local(now)
    call = stop.next_at(now)
    return {
        "suspension": suspension,
        "stop": stop,
        "shown": stop_shown(stop, event, now),
        "seen": seen,
        "due": call is not None and call.due <= local,
        "until": _until(stop, local),
        "call": call,
        "is_resume": call is not None and call.signal == RESUME,
        "evidence": [
            EvidenceLine(
                row, event.local(row.seen_at), evidence_words(row, event.units), each.counts, each.why
            )
            for row, each in reversed(_judged(stop))
        ],
        "horns": [(event.local(horn.sounded_at), horn) for horn in stop.horns],
        "cautions": CAUTIONS,
        "old_minutes": None
        if not stop.evidence
        else int((now - stop.evidence[-1].seen_at).total_seconds() // 60),
    }


def _judged(stop: Stop) -> list[tuple[Evidence, Counted]]:
    """Each row with what the set makes of it; the clock orders them as it needs, so they are matched by value."""
    by_value = {each.evidence: each for each in stop.clock.counted}
    return [(row, by_value[as_seen(row)]) for row in stop.evidence]


def _until(stop: Stop, now: datetime) -> int:
    """The next moment at which a signal becomes due, in seconds since 1970; 0 where none is to come."""
    ahead = [call.due for call in stop.calls if call.due > now]
    return int(min(ahead).timestamp()) + 1 if ahead else 0


def page_context(event: Event, suspension: Suspension, above: AboveSafety, now: datetime) -> dict[str, Any]:
    """The whole page of a stop that lasts."""
    stood = positions_of(suspension)
    context = standing_context(event, suspension, now)
    restart = max(context["stop"].restart, event.local(now))
    groups = above.groups(event, now)
    lines = [
        _line(group, stood.get((group.round.pk, group.number)), suspension, restart)
        for group in groups
        if group.state in (PLAYING, WAITING)
    ]
    return context | {
        "lines": lines,
        "groups": groups,
        "moving": [line for line in lines if line.new_start is not None],
        "modes": [(key, words, key == MOVE_TIMES) for key, words in MODES.items()],
        "booked": above.booked(suspension),
        "strike_example": STRIKE_EXAMPLES[event.units],
        "last_day": event.local(now).date() >= event.ends_on,
    }


def _line(group: GroupStands, stood: Position | None, suspension: Suspension, restart: datetime) -> GroupLine:
    waiting = group.waited_at(suspension.signalled_at)
    moved = new_start(group, MOVE_TIMES, suspension.signalled_at, restart) if waiting else None
    return GroupLine(group, stood, "has not started" if waiting else "playing", moved)


def shelter_words(event: Event) -> str:
    """`Clubhouse: holes 1 to 6; School hall: holes 7, 8` from the holes' descriptions; "" where none is known."""
    shelters, _ = shelters_of(event)
    return "; ".join(f"{shelter.name}: {holes_words(shelter.holes)}" for shelter in shelters)


def start_context(event: Event, above: AboveSafety, now: datetime) -> dict[str, Any]:
    """The page while play goes on: the one big act, the stops before, and penalties for the last of them."""
    groups = above.groups(event, now)
    earlier = list(Suspension.objects.filter(event=event).order_by("-signalled_at", "-pk")[:10])
    return {
        "causes": [
            (key, label, CAUSES[key].words, CAUSES[key].where) for key, label in Suspension.Cause.choices
        ],
        "shelters": shelter_words(event),
        "groups": groups,
        "suspension": next(iter(earlier), None),
        "booked": above.booked(earlier[0]) if earlier else [],
        "playing": [group for group in groups if group.state == PLAYING],
        "waiting": [group for group in groups if group.state == WAITING],
        "earlier": [
            (row, event.local(row.signalled_at), row.ended_at and event.local(row.ended_at))
            for row in earlier
        ],
        "cautions": CAUTIONS,
    }
