"""What quantities rest on, what they take for granted, and a line of the list. Pure."""

from dataclasses import dataclass

PRACTICE = "common practice, no source"
FLOAT = "Cash float"
Steps = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class DivisionField:
    """Players of a division; `depth_percent` None: no published depth of prizes for this tier."""

    code: str
    players: int
    professional: bool
    depth_percent: int | None = None


@dataclass(frozen=True, slots=True)
class RoundField:
    """`holes` None: no layout is chosen for the round yet."""

    number: int
    holes: int | None


@dataclass(frozen=True, slots=True)
class LineField:
    """An out-of-bounds line that may need string; `metres` None: nobody has said how long, 0: it needs none."""

    hole: str
    name: str
    metres: int | None


@dataclass(frozen=True, slots=True)
class Course:
    """Counted over physical holes, except `signs`: one for each hole of each layout."""

    holes: int
    undescribed: int
    signs: int
    zones: int
    mandatories: int
    spotter_holes: int
    spotter_unknown: int
    lines: tuple[LineField, ...]


@dataclass(frozen=True, slots=True)
class KitPiece:
    """`for_play`: it is for the hours of play, as what holds the water."""

    key: str
    name: str
    count: int
    for_play: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """`helpers` None: nobody has said how many; `heat_c` None: not forecast yet; `due_cents`: of each who owes;
    `packs_gone`: packs that were handed to people who have left."""

    players: int
    divisions: tuple[DivisionField, ...]
    rounds: tuple[RoundField, ...]
    cards: str  # "group", "two" or "player"
    course: Course
    helpers: int | None
    heat_c: int | None
    due_cents: tuple[int, ...]
    packs_gone: int = 0


@dataclass(frozen=True, slots=True)
class Assumptions:
    """Values of the rulebook, and where each comes from."""

    group_size: int
    spare_percent: int
    pencils_each: int
    flag_every_m: int
    zone_markers: int
    mandatory_signs: int
    spotter_flags: int
    hole_signs: int
    heat_c: int
    water: tuple[tuple[int, int], ...]  # from °C, ml for a person and hour
    minutes_18_holes: int
    trophies: tuple[tuple[int, int], ...]  # from players, trophies
    trophies_source: str
    depth_source: str
    depth_rule: str  # empty: the rulebook has none for this tier
    group_source: str
    cash_percent: int
    note_cents: int
    change_cents: tuple[int, ...]
    kit: tuple[KitPiece, ...]


@dataclass(frozen=True, slots=True)
class Need:
    """One line of the list. `rules` are the keys of the rulebook on which it rests, where they can be changed."""

    key: str
    section: str
    name: str
    needed: int | None
    unit: str
    working: Steps
    source: str
    rules: tuple[str, ...] = ()
    lacks: str = ""
