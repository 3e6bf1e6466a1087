"""Scores over ratings as a drawing: propagators, the others, the line with its interval, outliers by name. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor

from scoring.ratings.propagators import Played
from scoring.ratings.residuals import Lying
from scoring.ratings.round_rating import RoundRating
from scoring.ratings.student import t_quantile

WIDTH, HEIGHT = 680, 400
LEFT, RIGHT, TOP, BOTTOM = 52, 16, 14, 54
RATING_STEP = 50
SCORE_STEP = 5
LABEL_HEIGHT = 15  # between the lines of two labels
MOST_LABELS = 8
BAND_STEPS = 24
LETTER = 7  # width of a letter, about
SCRATCH_ROOM = 20  # points right of the scratch rating, so that its label stays in the frame


@dataclass(frozen=True)
class Dot:
    x: float
    y: float
    counts: bool
    outlier: bool
    title: str


@dataclass(frozen=True)
class Tick:
    at: float
    label: str


@dataclass(frozen=True)
class Segment:
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True)
class Name:
    """An outlier's name; `end` sets it to the left of its dot."""

    x: float
    y: float
    text: str
    end: bool


@dataclass(frozen=True)
class Scatter:
    """Everything in units of the SVG; `label` says in words what it shows. `band` is the outline of the interval as
    points of a polygon; `scratch` the average at the scratch rating."""

    width: int
    height: int
    left: int
    right: int
    top: int
    bottom: int
    dots: tuple[Dot, ...]
    ratings: tuple[Tick, ...]
    scores: tuple[Tick, ...]
    line: Segment | None
    band: tuple[tuple[float, float], ...]
    scratch: Dot | None
    names: tuple[Name, ...]
    label: str

    @property
    def polygon(self) -> str:
        return " ".join(f"{x:g},{y:g}" for x, y in self.band)


@dataclass(frozen=True)
class _Frame:
    across: tuple[int, int]
    up: tuple[int, int]

    def x(self, rating: float) -> float:
        low, high = self.across
        return round(LEFT + (rating - low) * (WIDTH - LEFT - RIGHT) / (high - low), 1)

    def y(self, score: float) -> float:
        low, high = self.up
        held = min(max(score, low), high)
        return round(HEIGHT - BOTTOM - (held - low) * (HEIGHT - TOP - BOTTOM) / (high - low), 1)


def scatter(
    played: Sequence[Played], rated: RoundRating, strange: Sequence[Lying], *, scratch: int, proportion: int
) -> Scatter | None:
    """The drawing of everybody with a rating and a score; None without two of them.

    `strange` are the residuals of the propagators, of which the outliers are named.
    """
    known = [
        (each, each.rating, each.score)
        for each in played
        if each.rating is not None and each.score is not None
    ]
    if len(known) < 2:
        return None
    expected = _expected(rated, scratch, proportion)
    frame = _frame(known, expected, scratch)
    counts = {each.key for each in rated.propagators}
    outliers = {each.key for each in strange if each.outlier}
    dots = tuple(
        Dot(
            frame.x(rating),
            frame.y(score),
            each.key in counts,
            each.key in outliers,
            f"{each.name}: {rating}, {score} throws",
        )
        for each, rating, score in known
    )
    return Scatter(
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        right=WIDTH - RIGHT,
        top=TOP,
        bottom=HEIGHT - BOTTOM,
        dots=dots,
        ratings=_ticks(frame.across, RATING_STEP, frame.x),
        scores=_ticks(frame.up, SCORE_STEP, frame.y),
        line=_line(frame, expected) if expected else None,
        band=_band(frame, rated, expected, scratch, proportion) if expected else (),
        scratch=_scratch(frame, rated, scratch),
        names=_names(frame, [each for each in strange if each.outlier]),
        label=_label(known, rated, strange, scratch),
    )


_Known = tuple[Played, int, int]


def _expected(rated: RoundRating, scratch: int, proportion: int) -> Callable[[float], float] | None:
    """Throws that the line in use expects at a rating."""
    if rated.ssa is None:
        return None
    if rated.line is not None:
        slope, intercept = float(rated.line.slope), float(rated.line.intercept)
        return lambda rating: intercept + slope * rating
    ssa = float(rated.ssa)
    return lambda rating: ssa * (1 + (scratch - rating) / proportion)


def _frame(known: Sequence[_Known], expected: Callable[[float], float] | None, scratch: int) -> _Frame:
    ratings, scores = [rating for _, rating, _ in known], [float(score) for _, _, score in known]
    across = _span([*ratings, scratch + SCRATCH_ROOM], RATING_STEP)
    if expected is not None:
        scores += [expected(scratch), expected(across[0]), expected(across[1])]
    return _Frame(across, _span(scores, SCORE_STEP))


def _span(values: Sequence[float], step: int) -> tuple[int, int]:
    low, high = floor(min(values) / step) * step, ceil(max(values) / step) * step
    return low, max(high, low + step)


def _ticks(span: tuple[int, int], step: int, place: Callable[[float], float]) -> tuple[Tick, ...]:
    """At most nine labels along an axis."""
    step *= ceil((span[1] - span[0]) / (9 * step))
    return tuple(Tick(place(at), str(at)) for at in range(span[0], span[1] + 1, step))


def _line(frame: _Frame, expected: Callable[[float], float]) -> Segment:
    """The line within the frame: cut where it leaves it."""
    (left, right), (low, high) = frame.across, frame.up
    ends = []
    slope = (expected(right) - expected(left)) / (right - left)
    for rating in (left, right):
        score = expected(rating)
        held = min(max(score, low), high)
        at = rating if held == score or not slope else rating + (held - score) / slope
        ends.append((frame.x(at), frame.y(held)))
    (x1, y1), (x2, y2) = ends
    return Segment(x1, y1, x2, y2)


def _band(
    frame: _Frame,
    rated: RoundRating,
    expected: Callable[[float], float] | None,
    scratch: int,
    proportion: int,
) -> tuple[tuple[float, float], ...]:
    """Outline of the line's interval: by its standard error, or by the resampled averages.

    None for a line over several rounds of one player: its error is known where the average is read, and only there.
    """
    assert expected is not None
    left, right = frame.across
    steps = [left + (right - left) * at / BAND_STEPS for at in range(BAND_STEPS + 1)]
    percent = rated.drawn.percent if rated.drawn else 95
    if rated.line is not None and rated.line.n > 2 and not rated.repeats:
        t = t_quantile(percent, rated.line.n - 2)
        half = [t * (rated.line.standard_error_at(round(at)) or 0.0) for at in steps]
        upper = [expected(at) + wide for at, wide in zip(steps, half, strict=True)]
        lower = [expected(at) - wide for at, wide in zip(steps, half, strict=True)]
    elif rated.drawn is not None and rated.line is None:
        low, high = rated.drawn.ssa
        upper, lower = ([ssa * (1 + (scratch - at) / proportion) for at in steps] for ssa in (high, low))
    else:
        return ()
    there = [(frame.x(at), frame.y(score)) for at, score in zip(steps, upper, strict=True)]
    back = [(frame.x(at), frame.y(score)) for at, score in zip(steps, lower, strict=True)]
    return (*there, *reversed(back))


def _scratch(frame: _Frame, rated: RoundRating, scratch: int) -> Dot | None:
    if rated.ssa is None:
        return None
    ssa = float(rated.ssa)
    return Dot(frame.x(scratch), frame.y(ssa), True, False, f"SSA {ssa:.2f}")


def _names(frame: _Frame, strange: Sequence[Lying]) -> tuple[Name, ...]:
    """The strangest few, set to the side where there is room, pushed down where one would lie on another."""
    names: list[Name] = []
    for each in sorted(strange[:MOST_LABELS], key=lambda one: frame.y(one.score)):
        x, y = frame.x(each.rating), frame.y(each.score) + 4
        end = x + 10 + LETTER * len(each.name) > WIDTH - RIGHT
        while any(abs(y - name.y) < LABEL_HEIGHT and abs(x - name.x) < 140 for name in names):
            y += LABEL_HEIGHT
        names.append(Name(round(x - 10 if end else x + 10, 1), round(y, 1), each.name, end))
    return tuple(names)


def _label(known: Sequence[_Known], rated: RoundRating, strange: Sequence[Lying], scratch: int) -> str:
    ratings, scores = [rating for _, rating, _ in known], [score for _, _, score in known]
    words = [
        f"{len(known)} rounds: scores from {min(scores)} to {max(scores)} over ratings from {min(ratings)}"
        f" to {max(ratings)}."
    ]
    if rated.ssa is not None:
        words.append(f"The line expects {float(rated.ssa):.2f} throws at {scratch}.")
    if rated.drawn is not None:
        low, high = rated.drawn.ssa
        words.append(f"Its interval there is {low:.2f} to {high:.2f}.")
    outliers = [f"{each.name} ({each.rating}, {each.score})" for each in strange if each.outlier]
    if outliers:
        words.append(f"Outliers: {', '.join(outliers)}.")
    return " ".join(words)
