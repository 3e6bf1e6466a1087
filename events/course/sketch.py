"""The sketch of a hole as vector data: points on a sheet of 1000 by 700 units, and the shapes that show them. Pure.

x runs to the right, y down, as on a screen. A sketch has no scale: it shows how things lie, not how far.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

WIDTH, HEIGHT = 1000, 700
MOST_LINES = 80
MOST_POINTS = 100
LONGEST_LABEL = 24

Point = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Tool:
    """What may be drawn. `form`: "mark" (one point), "arrow" (two), "line" (two or more), "area" (three or
    more), "dots" (one or more)."""

    words: str
    form: str
    how: str

    @property
    def fewest(self) -> int:
        return {"mark": 1, "arrow": 2, "line": 2, "area": 3, "dots": 1}[self.form]

    @property
    def most(self) -> int:
        return {"mark": 1, "arrow": 2}.get(self.form, MOST_POINTS)


TOOLS: Mapping[str, Tool] = {
    "tee": Tool("tee", "mark", "one click"),
    "target": Tool("target", "mark", "one click"),
    "flight": Tool("line of play", "line", "click along it, Enter ends it"),
    "out_of_bounds": Tool("out-of-bounds line", "line", "click along it, Enter ends it"),
    "mandatory": Tool("mandatory", "arrow", "click the marker, then the side to pass"),
    "hazard": Tool("hazard", "area", "click around it, Enter ends it"),
    "water": Tool("water", "area", "click around it, Enter ends it"),
    "path": Tool("path", "line", "click along it, Enter ends it"),
    "road": Tool("road", "line", "click along it, Enter ends it"),
    "trees": Tool("trees", "dots", "one click a tree, Enter ends"),
    "drop_zone": Tool("drop zone", "mark", "one click"),
}
ONCE = frozenset({"tee", "target"})


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that was drawn: `tool` is a key of TOOLS."""

    tool: str
    points: tuple[Point, ...]
    label: str = ""


def read_points(text: str) -> tuple[Point, ...]:
    """Points typed as "120,340 400,300". Raises ValueError with a sentence."""
    points: list[Point] = []
    for word in text.split():
        found = re.fullmatch(r"(\d{1,4}),(\d{1,4})", word)
        if found is None:
            raise ValueError(f"“{word}” is no point. Write x,y as 120,340 and a space between points.")
        x, y = int(found[1]), int(found[2])
        if x > WIDTH or y > HEIGHT:
            raise ValueError(f"{word} lies outside the sheet of {WIDTH} by {HEIGHT}.")
        points.append((x, y))
    return tuple(points)


def points_text(points: Iterable[Point]) -> str:
    """120,340 400,300: as it is typed, and as SVG takes it."""
    return " ".join(f"{x},{y}" for x, y in points)


def faults(label: str, items: Sequence[Item]) -> list[str]:
    """What cannot be drawn, each a sentence that names hole and line."""
    found: list[str] = []
    for number, item in enumerate(items, start=1):
        tool = TOOLS.get(item.tool)
        here = f"Hole {label}, line {number}"
        if tool is None:
            found.append(f"{here}: {item.tool} is no tool.")
        elif len(item.points) < tool.fewest:
            found.append(f"{here}: {tool.words} needs {_points(tool.fewest)}, here {_are(len(item.points))}.")
        elif len(item.points) > tool.most:
            found.append(f"{here}: {tool.words} takes {_points(tool.most)}, here {_are(len(item.points))}.")
        if any(not (0 <= x <= WIDTH and 0 <= y <= HEIGHT) for x, y in item.points):
            found.append(f"{here}: a point lies outside the sheet of {WIDTH} by {HEIGHT}.")
        if len(item.label) > LONGEST_LABEL:
            found.append(f"{here}: a label has at most {LONGEST_LABEL} letters.")
    for tool_name, count in Counter(item.tool for item in items).items():
        if tool_name in ONCE and count > 1:
            found.append(f"Hole {label}: one {TOOLS[tool_name].words} only, here are {count}.")
    if len(items) > MOST_LINES:
        found.append(f"Hole {label}: at most {MOST_LINES} lines, here are {len(items)}.")
    return found


def _points(count: int) -> str:
    return "1 point" if count == 1 else f"{count} points"


def _are(count: int) -> str:
    return "is 1" if count == 1 else f"are {count}"


def as_json(items: Iterable[Item]) -> list[dict[str, Any]]:
    return [
        {"tool": item.tool, "points": [list(point) for point in item.points], "label": item.label}
        for item in items
    ]


def from_json(value: Sequence[Mapping[str, Any]]) -> tuple[Item, ...]:
    """What `as_json` wrote; a tool of a newer version is left out."""
    return tuple(
        Item(row["tool"], tuple((x, y) for x, y in row["points"]), row.get("label", ""))
        for row in value
        if row["tool"] in TOOLS
    )


# --- Shapes for a page ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Shape:
    """One element: `element` polyline, polygon, dot, square or triangle; `points` as SVG takes them, or x and y."""

    element: str
    tool: str
    points: str = ""
    x: int = 0
    y: int = 0
    part: str = ""  # "casing" below the road's own line, "arrow" of a mandatory
    pattern: str = ""  # of an area: known without its colour


@dataclass(frozen=True, slots=True)
class Words:
    text: str
    x: int
    y: int
    anchor: str  # start or end: letters near the right edge run to the left


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes from the ground up, words on top, and the sketch in one sentence for those who cannot see it."""

    shapes: tuple[Shape, ...]
    words: tuple[Words, ...]
    label: str
    width: int = WIDTH
    height: int = HEIGHT


# What lies on the ground is drawn first, whatever was drawn first by hand.
ORDER = (
    "water",
    "hazard",
    "road",
    "path",
    "trees",
    "out_of_bounds",
    "flight",
    "mandatory",
    "drop_zone",
    "tee",
    "target",
)
MARKS: Mapping[str, str] = {"tee": "square", "target": "dot", "drop_zone": "triangle"}
PATTERNS: Mapping[str, str] = {"water": "sk-waves", "hazard": "sk-hatch"}
NAMES: Mapping[str, str] = {"out_of_bounds": "OB", "drop_zone": "DZ", "hazard": "hazard", "mandatory": "M"}


def drawing(items: Sequence[Item]) -> Drawing:
    """The sketch as shapes and words in sheet units."""
    ordered = sorted(items, key=lambda item: ORDER.index(item.tool))
    shapes = tuple(shape for item in ordered for shape in _shapes(item))
    words = tuple(written for item in ordered if (written := _words(item)) is not None)
    return Drawing(shapes, words, described(items))


def _shapes(item: Item) -> list[Shape]:
    x, y = item.points[0]
    text = points_text(item.points)
    form = TOOLS[item.tool].form
    if form == "mark":
        return [Shape(MARKS[item.tool], item.tool, x=x, y=y)]
    if form == "dots":
        return [Shape("dot", item.tool, x=x, y=y) for x, y in item.points]
    if form == "area":
        return [Shape("polygon", item.tool, text, pattern=PATTERNS[item.tool])]
    if form == "arrow":
        head = points_text(arrow_head(item.points[0], item.points[1]))
        shaft = Shape("polyline", item.tool, text)
        return [shaft, Shape("polygon", item.tool, head, part="arrow"), Shape("dot", item.tool, x=x, y=y)]
    casing = [Shape("polyline", item.tool, text, part="casing")] if item.tool == "road" else []
    return [*casing, Shape("polyline", item.tool, text)]


def arrow_head(start: Point, end: Point) -> tuple[Point, Point, Point]:
    """The three corners of the tip at `end`, 22 units long."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = max((dx * dx + dy * dy) ** 0.5, 1.0)
    ux, uy = dx / length, dy / length
    back = (end[0] - 22 * ux, end[1] - 22 * uy)
    return (
        end,
        (round(back[0] - 11 * uy), round(back[1] + 11 * ux)),
        (round(back[0] + 11 * uy), round(back[1] - 11 * ux)),
    )


def _words(item: Item) -> Words | None:
    text = " ".join(filter(None, (NAMES.get(item.tool, ""), item.label)))
    if not text:
        return None
    if TOOLS[item.tool].form == "area":
        x = max(round(sum(point[0] for point in item.points) / len(item.points)) - 20, 4)
        y = max(round(sum(point[1] for point in item.points) / len(item.points)) + 8, 24)
    else:
        middle = item.points[len(item.points) // 2 if TOOLS[item.tool].form == "line" else 0]
        x, y = middle[0] + 18, max(middle[1] - 14, 24)
    if x > WIDTH - 140:
        return Words(text, min(x - 36, WIDTH - 6), y, "end")
    return Words(text, x, y, "start")


def described(items: Sequence[Item]) -> str:
    """Sketch: 1 tee, 1 target, 2 out-of-bounds lines, with their labels; or that there is none."""
    if not items:
        return "No sketch yet."
    counts = Counter(item.tool for item in items)
    kinds = [_counted(counts[name], tool.words) for name, tool in TOOLS.items() if counts[name]]
    labels = [f"{TOOLS[item.tool].words} {item.label}" for item in items if item.label]
    return "Sketch: " + ", ".join(kinds) + (f". Named: {', '.join(labels)}." if labels else ".")


def _counted(count: int, words: str) -> str:
    if count == 1 or words in {"trees", "water"}:
        return words if count == 1 else f"{words} ({count})"
    plural = {"mandatory": "mandatories", "line of play": "lines of play"}.get(words, f"{words}s")
    return f"{count} {plural}"
