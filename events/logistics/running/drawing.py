"""The run of a day as a drawing: lanes of spans and moments under a line of hours. Pure.

Across everything is in percent of the day, down in em, so that letters keep their size on screen and paper.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.hours import Hour, HourLine, hour_line
from events.logistics.running.laying import LANES, SUN, Line

LETTER = 0.72  # percent that a letter takes in the narrowest drawing
HEAD, ROW, LANE_HEAD = 2.6, 2.0, 1.5  # em


@dataclass(frozen=True, slots=True)
class Mark:
    """A span, or a moment where `width` is 0. `label_x` is where the label begins, or ends with `end`.

    `was_x`: where it began, or ended where only that moved; None where nothing moved. `was_width`: as far as its old
    place lies before the new one. `kind`: "", "past", "needs" or "stop".
    """

    x: float
    width: float
    y: float
    label: str
    label_x: float
    end: bool
    kind: str
    was_x: float | None
    was_width: float

    @property
    def bar_y(self) -> float:
        """Where the bar of a span lies: under its label."""
        return round(self.y + 1.2, 2)

    @property
    def foot_y(self) -> float:
        return round(self.y + 1.6, 2)


@dataclass(frozen=True, slots=True)
class Lane:
    """From `y` to `ends`, in em."""

    name: str
    y: float
    ends: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Band:
    """Hours without daylight: `kind` "night" or "twilight"."""

    x: float
    width: float
    kind: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """`height` in em. `label` says what it is to those who cannot see it; the list beside it says all of it."""

    label: str
    height: float
    hours: tuple[Hour, ...]
    lanes: tuple[Lane, ...]
    bands: tuple[Band, ...]
    now_x: float | None
    now_label: str

    @property
    def inner_height(self) -> float:
        """Under the line of hours."""
        return round(self.height - 1.4, 2)


@dataclass(frozen=True, slots=True)
class Light:
    """First light, sunrise, sunset and dark; None where the day has none. `dark` all day: a polar night."""

    dawn: datetime | None = None
    rise: datetime | None = None
    sets: datetime | None = None
    dusk: datetime | None = None
    dark: bool = False


def draw(
    lines: Sequence[Line], *, light: Light, now: datetime, local: Callable[[datetime], datetime]
) -> Drawing | None:
    """The drawing of a day; None where nothing is on it. `local` turns a moment into the venue's clock."""
    shown = [line for line in lines if line.lane != SUN]
    if not shown:
        return None
    scale = _scale(shown, local)
    lanes, y = [], HEAD
    for code, name in LANES.items():
        members = [line for line in shown if line.lane == code]
        if members:
            lane, y = _lane(name, members, y, scale, now, local)
            lanes.append(lane)
    inside = scale.holds(now)
    first, last = shown[0], max(line.ends or line.starts for line in shown)
    moved = sum(line.moved for line in shown)
    words = f"{len(shown)} things from {local(first.starts):%H:%M} to {local(last):%H:%M}"
    return Drawing(
        label=words + (f", {moved} of them moved" if moved else "") + "; the list below says each",
        height=round(y + 0.4, 2),
        hours=scale.hours(local, each=18),
        lanes=tuple(lanes),
        bands=tuple(_bands(scale, light)),
        now_x=scale.x(now) if inside else None,
        now_label=f"{local(now):%H:%M}" if inside else "",
    )


def words_of(line: Line, local: Callable[[datetime], datetime]) -> str:
    """The hours and what it is, with what it was."""
    hours = f"{local(line.starts):%H:%M}" + (f"–{local(line.ends):%H:%M}" if line.ends else "")
    return f"{hours} {line.label}{was_of(line, local)}"


def was_of(line: Line, local: Callable[[datetime], datetime]) -> str:
    """“, was 13:00”, or nothing where it is where it was."""
    if line.was is not None:
        return f", was {local(line.was):%H:%M}"
    return f", was until {local(line.was_ends):%H:%M}" if line.was_ends is not None else ""


def _scale(lines: Sequence[Line], local: Callable[[datetime], datetime]) -> HourLine:
    starts = [moment for line in lines for moment in (line.starts, line.was or line.starts)]
    return hour_line([*starts, *(line.ends for line in lines if line.ends)], local)


def _lane(
    name: str,
    lines: Sequence[Line],
    y: float,
    scale: HourLine,
    now: datetime,
    local: Callable[[datetime], datetime],
) -> tuple[Lane, float]:
    """The lane from `y` down, each line in the first row where it has room; and where the next lane begins."""
    rows: list[float] = []  # how far each row is taken, in percent
    marks = []
    for line in lines:
        mark, left, right = _mark(line, scale, now, local)
        row = next((number for number, taken in enumerate(rows) if taken <= left), len(rows))
        if row == len(rows):
            rows.append(0.0)
        rows[row] = right + 1.0
        marks.append(_at(mark, round(y + LANE_HEAD + row * ROW, 2)))
    ends = round(y + LANE_HEAD + len(rows) * ROW, 2)
    return Lane(name, y, ends, tuple(marks)), ends


def _mark(
    line: Line, scale: HourLine, now: datetime, local: Callable[[datetime], datetime]
) -> tuple[Mark, float, float]:
    """The mark without its height, and from where to where it takes its row."""
    x = scale.x(line.starts)
    width = 0.0 if line.ends is None else scale.width(line.starts, line.ends)
    label = words_of(line, local)
    long = len(label) * LETTER
    end = x + long > 100
    label_x = x if not end else min(100.0, max(x + width, long))
    was_x, was_width = _was(line, scale)
    left = min(label_x - long if end else x, x, x if was_x is None else was_x)
    right = max(label_x if end else label_x + long, x + width, 0 if was_x is None else was_x + was_width)
    kind = "needs" if line.needs else "stop" if line.danger else "past" if line.past(now) else ""
    return Mark(x, width, 0.0, label, round(label_x, 2), end, kind, was_x, was_width), left, right


def _was(line: Line, scale: HourLine) -> tuple[float | None, float]:
    if line.was is None:
        return None if line.was_ends is None else scale.x(line.was_ends), 0.0
    x, last = scale.x(line.was), line.was_ends or line.ends
    width = 0.0 if last is None else min(scale.x(last), scale.x(line.starts)) - x
    return x, max(0.0, round(width, 2))


def _at(mark: Mark, y: float) -> Mark:
    return Mark(
        mark.x, mark.width, y, mark.label, mark.label_x, mark.end, mark.kind, mark.was_x, mark.was_width
    )


def _bands(scale: HourLine, light: Light) -> list[Band]:
    """Night and twilight as far as they lie in the drawing."""
    if light.dark:
        return [Band(0.0, 100.0, "night")]
    found = []
    spans = (
        (scale.start, light.dawn, "night"),
        (light.dawn or scale.start, light.rise, "twilight"),
        (light.sets, light.dusk or scale.end, "twilight"),
        (light.dusk, scale.end, "night"),
    )
    for begin, stop, kind in spans:
        if begin is None or stop is None:
            continue
        x = scale.x(begin)
        width = round(scale.x(stop) - x, 2)
        if width > 0:
            found.append(Band(x, width, kind))
    return found
