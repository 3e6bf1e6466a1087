"""The day's readings as a strip chart: a row for each kind, its limits, lightning, and the playing windows. Pure.

Positions across are percent of the time shown; heights are em, so that letters keep their size at any width.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from events.hours import Hour, HourLine, hour_line

TOP, ROW, PLOT, GAP = 4.8, 6.2, 3.4, 1.6  # em: above the first row, a row, its drawing, the words over it


@dataclass(frozen=True, slots=True)
class Row:
    """Points and limits in the unit that is shown; `downward`: a limit is met at or below it."""

    title: str
    unit: str
    points: tuple[tuple[datetime, float], ...]
    limits: tuple[tuple[float, str], ...] = ()
    downward: bool = False


@dataclass(frozen=True, slots=True)
class Window:
    label: str
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Mark:
    """Lightning: `label` is a letter for the drawing, `words` for everybody."""

    label: str
    at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class DrawnWindow:
    label: str
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class DrawnPoint:
    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class DrawnLine:
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class DrawnLimit:
    """`upper`: its words stand over the line; those of the lower of two stand under theirs."""

    y: float
    label: str
    met: bool
    upper: bool


@dataclass(frozen=True, slots=True)
class DrawnRow:
    title: str
    y: float
    base: float
    points: tuple[DrawnPoint, ...]
    lines: tuple[DrawnLine, ...]
    limits: tuple[DrawnLimit, ...]


@dataclass(frozen=True, slots=True)
class DrawnMark:
    label: str
    x: float
    words: str


@dataclass(frozen=True, slots=True)
class Chart:
    """`label` says the chart in words; `height` in em; `now_x` None where now is not within it."""

    label: str
    height: float
    foot: float
    hours: tuple[Hour, ...]
    windows: tuple[DrawnWindow, ...]
    rows: tuple[DrawnRow, ...]
    marks: tuple[DrawnMark, ...]
    now_x: float | None
    now_label: str


def draw(
    rows: Sequence[Row], windows: Sequence[Window], marks: Sequence[Mark], *, now: datetime
) -> Chart | None:
    """The chart; None where nothing was read and nothing struck. All moments in the zone of the event."""
    moments = [at for row in rows for at, _ in row.points] + [mark.at for mark in marks]
    if not moments:
        return None
    moments += [moment for window in windows for moment in (window.start, window.end)]
    span = hour_line([*moments, now] if min(moments) <= now else moments)
    drawn = tuple(_row(row, TOP + ROW * place, span) for place, row in enumerate(rows))
    foot = TOP + ROW * len(rows) + 0.4
    inside = span.holds(now)
    return Chart(
        label=_label(rows, windows, marks),
        height=foot + 1.8,
        foot=foot,
        hours=span.hours(),
        windows=tuple(_window(each, span) for each in windows),
        rows=drawn,
        marks=tuple(DrawnMark(mark.label, span.x(mark.at), mark.words) for mark in marks),
        now_x=span.x(now) if inside else None,
        now_label=f"{now:%H:%M}" if inside else "",
    )


def _window(window: Window, span: HourLine) -> DrawnWindow:
    return DrawnWindow(window.label, span.x(window.start), span.width(window.start, window.end))


def _row(row: Row, top: float, span: HourLine) -> DrawnRow:
    values = [value for _, value in row.points]
    near = _near_limits(row, values)
    low, high = _range([*values, *(value for value, _ in near)])
    base = top + GAP + PLOT

    def y(value: float) -> float:
        return round(base - (value - low) / (high - low) * PLOT, 2)

    points = tuple(
        DrawnPoint(span.x(at), y(value), f"{at:%H:%M} {_number(value)} {row.unit}".strip())
        for at, value in sorted(row.points)
    )
    lines = tuple(DrawnLine(a.x, a.y, b.x, b.y) for a, b in pairwise(points) if a.x != b.x)
    newest = max(row.points)[1]
    top_limit = max((value for value, _ in near), default=0.0)
    limits = tuple(
        DrawnLimit(
            y=y(value),
            label=f"{word}, {_number(value)} {row.unit}".strip(),
            met=_met(row, newest, value),
            upper=value == top_limit,
        )
        for value, word in near
    )
    return DrawnRow(_title(row), top, round(base, 2), points, lines, limits)


def _near_limits(row: Row, values: Sequence[float]) -> list[tuple[float, str]]:
    """The highest limit that was met, and the next that was not: others would press the line flat."""
    worst = min(values) if row.downward else max(values)
    ordered = sorted(row.limits, reverse=row.downward)
    met = [limit for limit in ordered if _met(row, worst, limit[0])]
    return [*met[-1:], *ordered[len(met) : len(met) + 1]]


def _met(row: Row, value: float, limit: float) -> bool:
    return value <= limit if row.downward else value >= limit


def _range(values: Sequence[float]) -> tuple[float, float]:
    """With a margin of a tenth, and never of no height."""
    low, high = min(values), max(values)
    margin = (high - low) / 10 or 1.0
    return low - margin, high + margin


def _title(row: Row) -> str:
    _, newest = max(row.points)
    return f"{row.title} {_number(newest)} {row.unit}".strip()


def _number(value: float) -> str:
    rounded = round(value, 1)
    words = f"{rounded:.0f}" if rounded == round(rounded) else f"{rounded:.1f}"
    return words.replace("-", "−")


def _label(rows: Sequence[Row], windows: Sequence[Window], marks: Sequence[Mark]) -> str:
    said = [f"{each.label} {each.start:%H:%M} to {each.end:%H:%M}" for each in windows]
    for row in rows:
        first, last = min(row.points), max(row.points)
        ends = f"{_number(first[1])} at {first[0]:%H:%M}"
        if last[0] != first[0]:
            ends += f" to {_number(last[1])} at {last[0]:%H:%M}"
        said.append(f"{row.title} {ends} {row.unit}".strip())
    said += [mark.words for mark in marks]
    return "; ".join(said)
