"""The day as a drawing: spans (check-in, rounds, tee-sheet deadlines) over a line of hours. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from events.hours import Hour, HourLine, hour_line

SPAN_ROWS = (3, 5)
MARK_ROWS = (1.6, 2.3)
LATE_IN_THE_DAY = 80.0  # percent from which a label stands left of its mark


@dataclass(frozen=True, slots=True)
class Span:
    label: str
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Mark:
    label: str
    at: datetime
    needs: bool = False


@dataclass(frozen=True, slots=True)
class DrawnSpan:
    label: str
    x: float
    width: float
    y: float
    kind: str


@dataclass(frozen=True, slots=True)
class DrawnMark:
    label: str
    x: float
    y: float
    needs: bool
    end: bool


@dataclass(frozen=True, slots=True)
class Timeline:
    """`x` and `width` in percent of the day. `label` says the day in one sentence."""

    label: str
    hours: tuple[Hour, ...]
    spans: tuple[DrawnSpan, ...]
    marks: tuple[DrawnMark, ...]
    now_x: float = 0
    now_label: str = ""


def draw(spans: Sequence[Span], marks: Sequence[Mark], *, now: datetime) -> Timeline | None:
    """The drawing of a day; None where there is nothing on it. All moments in the zone of the event."""
    moments = [moment for span in spans for moment in (span.start, span.end)] + [mark.at for mark in marks]
    if not moments:
        return None
    scale = hour_line(moments)
    drawn = tuple(_span(scale, span, now, spans[:index]) for index, span in enumerate(spans))
    in_order = sorted(marks, key=lambda mark: mark.at)
    shown = tuple(
        DrawnMark(
            mark.label, scale.x(mark.at), MARK_ROWS[index % 2], mark.needs, scale.x(mark.at) > LATE_IN_THE_DAY
        )
        for index, mark in enumerate(in_order)
    )
    said = [f"{span.label} {span.start:%H:%M} to {span.end:%H:%M}" for span in spans]
    said += [f"{mark.label} {mark.at:%H:%M}" for mark in in_order]
    today = scale.holds(now)
    return Timeline(
        label="; ".join(said),
        hours=scale.hours(),
        spans=drawn,
        marks=shown,
        now_x=scale.x(now) if today else 0,
        now_label=f"{now:%H:%M}" if today else "",
    )


def _span(scale: HourLine, span: Span, now: datetime, before: Sequence[Span]) -> DrawnSpan:
    crowded = any(other.start < span.end and span.start < other.end for other in before)
    x, width = scale.x(span.start), scale.width(span.start, span.end)
    return DrawnSpan(span.label, x, width, SPAN_ROWS[crowded], "past" if span.end < now else "")
