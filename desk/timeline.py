"""The day as a drawing: spans (check-in, rounds, tee-sheet deadlines) over a line of hours. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

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
class DrawnHour:
    x: float
    label: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """`x` and `width` in percent of the day. `label` says the day in one sentence."""

    label: str
    hours: tuple[DrawnHour, ...]
    spans: tuple[DrawnSpan, ...]
    marks: tuple[DrawnMark, ...]
    now_x: float = 0
    now_label: str = ""


@dataclass(frozen=True, slots=True)
class _Scale:
    start: datetime
    end: datetime

    def x(self, moment: datetime) -> float:
        share = (moment - self.start) / (self.end - self.start)
        return round(min(1.0, max(0.0, share)) * 100, 2)


def draw(spans: Sequence[Span], marks: Sequence[Mark], *, now: datetime) -> Timeline | None:
    """The drawing of a day; None where there is nothing on it. All moments in the zone of the event."""
    moments = [moment for span in spans for moment in (span.start, span.end)] + [mark.at for mark in marks]
    if not moments:
        return None
    scale = _scale(moments)
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
    today = scale.start <= now <= scale.end
    return Timeline(
        label="; ".join(said),
        hours=_hours(scale),
        spans=drawn,
        marks=shown,
        now_x=scale.x(now) if today else 0,
        now_label=f"{now:%H:%M}" if today else "",
    )


def _scale(moments: Sequence[datetime]) -> _Scale:
    """From the full hour before the first moment to the one after the last."""
    first, last = min(moments), max(moments)
    start = first.replace(minute=0, second=0, microsecond=0)
    end = last.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    return _Scale(start, end)


def _span(scale: _Scale, span: Span, now: datetime, before: Sequence[Span]) -> DrawnSpan:
    crowded = any(other.start < span.end and span.start < other.end for other in before)
    x = scale.x(span.start)
    width = max(0.5, round(scale.x(span.end) - x, 2))
    return DrawnSpan(span.label, x, width, SPAN_ROWS[crowded], "past" if span.end < now else "")


def _hours(scale: _Scale) -> tuple[DrawnHour, ...]:
    total = int((scale.end - scale.start) / timedelta(hours=1))
    step = 1 if total <= 14 else 2 if total <= 28 else 6
    hours = (scale.start + timedelta(hours=number) for number in range(0, total + 1, step))
    return tuple(DrawnHour(scale.x(hour), f"{hour:%H}") for hour in hours if scale.x(hour) < 99)
