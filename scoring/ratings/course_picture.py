"""Two drawings of a layout: each hole's average by skill band, and how surely each hole separates players. Pure."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor

from scoring.ratings.course import CourseReport, HoleReport, Verdict

WIDTH = 680
LEFT, RIGHT, BOTTOM = 52, 8, 30
AVERAGES_HEIGHT, AVERAGES_TOP = 320, 40  # room for the legend
SEPARATION_HEIGHT, SEPARATION_TOP = 200, 14
SHAPES = ("square", "circle", "triangle", "diamond", "cross")  # one a band, so that colour is not needed
EVERYBODY = "dash"
SHIFT = 6.0  # between the marks of two bands on one hole
LEGEND_STEP = 84


@dataclass(frozen=True)
class Mark:
    x: float
    y: float
    shape: str
    title: str

    @property
    def path(self) -> str:
        """The mark as an SVG path, about 9 units wide."""
        x, y = self.x, self.y
        return {
            "square": f"M{x - 4:g} {y - 4:g}h8v8h-8z",
            "circle": f"M{x - 4.5:g} {y:g}a4.5 4.5 0 1 0 9 0a4.5 4.5 0 1 0 -9 0z",
            "triangle": f"M{x:g} {y - 5:g}l5 9h-10z",
            "diamond": f"M{x:g} {y - 5.5:g}l5 5.5l-5 5.5l-5 -5.5z",
            "cross": f"M{x - 4:g} {y - 4:g}l8 8m0 -8l-8 8",
            "dash": f"M{x - 12:g} {y:g}h24",
        }[self.shape]


@dataclass(frozen=True)
class Grid:
    at: float
    label: str
    heavy: bool


@dataclass(frozen=True)
class Bar:
    x: float
    y: float
    width: float
    height: float
    kind: str
    title: str


@dataclass(frozen=True)
class Picture:
    """Units of the SVG; `label` says in words what it shows; `holes` are the labels under it."""

    width: int
    height: int
    left: int
    right: int
    bottom: int
    grid: tuple[Grid, ...]
    holes: tuple[Grid, ...]
    label: str
    marks: tuple[Mark, ...] = ()
    bars: tuple[Bar, ...] = ()
    legend: tuple[tuple[str, Mark], ...] = ()


@dataclass(frozen=True)
class _Scale:
    """Values between two bounds, drawn over a height under some room at the top."""

    low: float
    high: float
    height: int
    top: int

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return round(self.height - BOTTOM - share * (self.height - self.top - BOTTOM), 1)

    def grid(self, values: Iterable[float], said: Callable[[float], str]) -> tuple[Grid, ...]:
        return tuple(Grid(self.y(value), said(value), value == 0) for value in values)


def averages(report: CourseReport) -> Picture:
    """Average over or under par, one mark a band and hole, and a dash for everybody."""
    overs = [float(hole.to_par) for hole in report.holes]
    overs += [over for _, _, over in _band_averages(report)]
    low, high = floor(min([*overs, 0.0]) * 2) / 2, ceil(max([*overs, 0.5]) * 2) / 2
    scale = _Scale(low, high, AVERAGES_HEIGHT, AVERAGES_TOP)
    hardest = max(report.holes, key=lambda hole: hole.to_par)
    easiest = min(report.holes, key=lambda hole: hole.to_par)
    return Picture(
        WIDTH,
        AVERAGES_HEIGHT,
        LEFT,
        WIDTH - RIGHT,
        AVERAGES_HEIGHT - BOTTOM,
        scale.grid((low + at / 2 for at in range(round((high - low) * 2) + 1)), _signed),
        _labels(report.holes, report),
        f"Average against par by hole and band. Hardest: hole {hardest.label}, {_signed(float(hardest.to_par))}."
        f" Easiest: hole {easiest.label}, {_signed(float(easiest.to_par))}.",
        marks=(*_marks_of_everybody(report, scale), *_marks_of_bands(report, scale)),
        legend=_legend(report),
    )


def _band_averages(report: CourseReport) -> list[tuple[int, int, float]]:
    """(hole, band, average against par), counted from 0, of every band that has an average there."""
    return [
        (at, band, float(each.average - hole.par))
        for at, hole in enumerate(report.holes)
        for band, each in enumerate(hole.bands)
        if each.average is not None
    ]


def _marks_of_everybody(report: CourseReport, scale: _Scale) -> Iterator[Mark]:
    for at, hole in enumerate(report.holes):
        title = f"hole {hole.label}, everybody: {float(hole.average):.2f}"
        yield Mark(_x(report, at), scale.y(float(hole.to_par)), EVERYBODY, title)


def _marks_of_bands(report: CourseReport, scale: _Scale) -> Iterator[Mark]:
    """Beside each other on their hole, so that equal averages do not hide one another."""
    for at, band, over in _band_averages(report):
        hole = report.holes[at]
        title = f"hole {hole.label}, {hole.bands[band].band}: {float(hole.bands[band].average or 0):.2f}"
        yield Mark(_x(report, at) + SHIFT * (band - 2), scale.y(over), SHAPES[band], title)


def _legend(report: CourseReport) -> tuple[tuple[str, Mark], ...]:
    used = sorted({band for _, band, _ in _band_averages(report)})
    entries = [("everybody", EVERYBODY), *((report.bands[band][0], SHAPES[band]) for band in used)]
    return tuple(
        (name, Mark(LEFT + 14 + LEGEND_STEP * at + (28 if at else 0), 16, shape, ""))
        for at, (name, shape) in enumerate(entries)
    )


def separation(report: CourseReport) -> Picture:
    """Throws that 100 points of rating save on each hole: tall bars separate, short ones do not."""
    known = [hole.per_100 for hole in report.holes if hole.per_100 is not None]
    low, high = floor(min([*known, 0.0]) * 5) / 5, ceil(max([*known, 0.2]) * 5) / 5
    scale = _Scale(low, high, SEPARATION_HEIGHT, SEPARATION_TOP)
    step = 0.2 if high - low <= 1.6 else 0.5
    sure = [hole.label for hole in report.holes if hole.verdict is Verdict.SEPARATES]
    steps = range(ceil(low / step), floor(high / step + 1e-9) + 1)
    return Picture(
        WIDTH,
        SEPARATION_HEIGHT,
        LEFT,
        WIDTH - RIGHT,
        SEPARATION_HEIGHT - BOTTOM,
        scale.grid((at * step for at in steps), lambda value: f"{value:.1f}".replace("-", "−")),
        _labels(report.holes, report),
        f"Throws that 100 points save. Holes that tell players apart: {', '.join(sure) or 'none is sure'}.",
        bars=tuple(_bars(report, scale)),
    )


def _bars(report: CourseReport, scale: _Scale) -> Iterator[Bar]:
    zero, width = scale.y(0), _pitch(report) * 0.6
    for at, hole in enumerate(report.holes):
        if hole.per_100 is None:
            continue
        top = scale.y(hole.per_100)
        kind = {Verdict.SEPARATES: "sure", Verdict.WRONG_WAY: "wrong"}.get(hole.verdict, "unsure")
        title = f"hole {hole.label}: {hole.per_100:.2f} throws, {hole.verdict.value}"
        x, y = round(_x(report, at) - width / 2, 1), round(min(top, zero), 1)
        yield Bar(x, y, round(width, 1), round(abs(top - zero), 1), kind, title)


def _pitch(report: CourseReport) -> float:
    return (WIDTH - LEFT - RIGHT) / len(report.holes)


def _x(report: CourseReport, at: int) -> float:
    return round(LEFT + _pitch(report) * (at + 0.5), 1)


def _labels(holes: Sequence[HoleReport], report: CourseReport) -> tuple[Grid, ...]:
    return tuple(Grid(_x(report, at), hole.label, False) for at, hole in enumerate(holes))


def _signed(value: float) -> str:
    return "par" if value == 0 else f"{value:+.1f}".replace("-", "−")
