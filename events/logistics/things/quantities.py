"""How much of each thing an event needs, and how that comes about. Pure.

A bigger field never needs less. What rests on something that is not known is not known either: `needed` is None and
`lacks` says what is missing.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.logistics.things.change import Piece, float_for
from events.logistics.things.counting import (
    ceil_percent,
    groups_of,
    places_paid,
    trophies_of,
    water_ml_an_hour,
    with_spare,
)

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
class Facts:
    """`helpers` None: nobody has said how many; `heat_c` None: not forecast yet; `due_cents`: of each who owes."""

    players: int
    divisions: tuple[DivisionField, ...]
    rounds: tuple[RoundField, ...]
    cards: str  # "group", "two" or "player"
    course: Course
    helpers: int | None
    heat_c: int | None
    due_cents: tuple[int, ...]


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
    kit: tuple[tuple[str, str, int], ...]  # key, name, count


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


def needs_of(facts: Facts, by: Assumptions, money: Callable[[int], str]) -> tuple[Need, ...]:
    """Every computed line, in the order of the list. `money` writes cents."""
    return (
        *_paper(facts, by),
        *_course(facts.course, by),
        _water(facts, by),
        _first_aid(),
        *_prizes(facts, by),
        *_float(facts, by, money),
        *_kit(by),
    )


# --- Paper -----------------------------------------------------------------------------------------------------------


def _paper(facts: Facts, by: Assumptions) -> tuple[Need, ...]:
    groups = groups_of(facts.players, by.group_size)
    each = {"group": groups, "two": 2 * groups, "player": facts.players}[facts.cards]
    words = {"group": "one for each group", "two": "two for each group", "player": "one for each player"}
    cards = each * len(facts.rounds)
    spare = ceil_percent(cards, by.spare_percent)
    pencils = with_spare(facts.players * by.pencils_each, by.spare_percent)
    start: Steps = (
        ("Players", str(facts.players)),
        (f"Groups of {by.group_size}", f"{groups} ({by.group_source})"),
        ("Cards", words[facts.cards]),
        ("Rounds", f"{len(facts.rounds)}; after a cut fewer are used"),
    )
    spared = ("practice.things_spare_percent",)
    return (
        Need(
            "cards",
            "Paper",
            "Score cards",
            cards,
            "",
            (*start, ("In all", f"{each} × {len(facts.rounds)} = {cards}")),
            by.group_source,
            ("group.size_aim",),
        ),
        Need(
            "cards-spare",
            "Paper",
            "Spare score cards",
            spare,
            "",
            (("Score cards", str(cards)), (f"{by.spare_percent} % of them, rounded up", str(spare))),
            PRACTICE,
            spared,
        ),
        Need(
            "pencils",
            "Paper",
            "Pencils",
            pencils,
            "",
            (
                ("Players", str(facts.players)),
                ("Each", str(by.pencils_each)),
                (f"With {by.spare_percent} % spare, rounded up", str(pencils)),
            ),
            PRACTICE,
            ("practice.things_pencils_each", *spared),
        ),
    )


# --- Course ----------------------------------------------------------------------------------------------------------


def _course(course: Course, by: Assumptions) -> tuple[Need, ...]:
    on_a_hole = "practice.things_on_a_hole"
    marks = (
        ("hole-signs", "Tee signs", "Holes of all layouts", course.signs, by.hole_signs, "hole_signs"),
        (
            "zone-markers",
            "Markers of drop zones",
            "Drop zones",
            course.zones,
            by.zone_markers,
            "zone_markers",
        ),
        (
            "mandatory-signs",
            "Signs of mandatories",
            "Mandatories",
            course.mandatories,
            by.mandatory_signs,
            "mandatory_signs",
        ),
        (
            "spotter-flags",
            "Flags for spotters",
            "Holes with a spotter",
            course.spotter_holes,
            by.spotter_flags,
            "spotter_flags",
        ),
    )
    lines = []
    for key, name, counted, count, each, rule in marks:
        lacks = _not_described(course, key)
        known = None if lacks else count * each
        working = (
            (counted, f"{count}{' so far' if lacks else ''}"),
            ("For each", str(each)),
            *((("Not known", lacks),) if lacks else ()),
        )
        lines.append(Need(key, "Course", name, known, "", working, PRACTICE, (f"{on_a_hole}.{rule}",), lacks))
    return (*_string(course, by), *lines)


def _not_described(course: Course, key: str) -> str:
    """A hole that nobody described may have a drop zone; its sign it has in any case."""
    if course.holes == 0:
        return "the course has no holes yet"
    if key == "hole-signs":
        return ""
    if course.undescribed:
        return f"{_holes(course.undescribed)} not described yet"
    if key == "spotter-flags" and course.spotter_unknown:
        return f"{_holes(course.spotter_unknown)} without a word on a spotter"
    return ""


def _holes(count: int) -> str:
    return "1 hole is" if count == 1 else f"{count} holes are"


def _string(course: Course, by: Assumptions) -> tuple[Need, ...]:
    unknown = [line for line in course.lines if line.metres is None]
    lacks = _not_described(course, "string")
    if not lacks and unknown:
        lacks = f"{len(unknown)} of {len(course.lines)} lines without a length"
    metres = sum(line.metres for line in course.lines if line.metres is not None)
    flags = sum(_flags(line.metres, by.flag_every_m) for line in course.lines if line.metres)
    listed = tuple(
        (f"{line.hole}, {line.name}", "not known" if line.metres is None else f"{line.metres} m")
        for line in course.lines
    )
    so_far = " so far" if lacks else ""
    spare = f"With {by.spare_percent} % spare, rounded up"
    string_all, flags_all = with_spare(metres, by.spare_percent), with_spare(flags, by.spare_percent)
    every = (f"A flag every {by.flag_every_m} m and at both ends", f"{flags}{so_far}")
    source = f"lengths as written for each line; the rest {PRACTICE}"
    rules = ("practice.things_spare_percent",)
    missing = (("Not known", lacks),) if lacks else ()
    return (
        Need(
            "string",
            "Course",
            "String for out of bounds",
            None if lacks else string_all,
            "m",
            (*listed, ("Together", f"{metres} m{so_far}"), (spare, f"{string_all} m{so_far}"), *missing),
            source,
            rules,
            lacks,
        ),
        Need(
            "flags",
            "Course",
            "Flags for out of bounds",
            None if lacks else flags_all,
            "",
            (*listed, every, (spare, f"{flags_all}{so_far}"), *missing),
            source,
            ("practice.things_flag_every", *rules),
            lacks,
        ),
    )


def _flags(metres: int, every: int) -> int:
    """Both ends, and between them no gap above `every`."""
    return -(-metres // every) + 1


# --- People ----------------------------------------------------------------------------------------------------------


def _water(facts: Facts, by: Assumptions) -> Need:
    heat = by.heat_c if facts.heat_c is None else facts.heat_c
    an_hour = water_ml_an_hour(heat, by.water)
    minutes = sum((18 if each.holes is None else each.holes) * by.minutes_18_holes for each in facts.rounds)
    unknown = sum(1 for each in facts.rounds if each.holes is None)
    people = facts.players + (facts.helpers or 0)
    litres = -(-people * an_hour * minutes // (18 * 60 * 1000))
    hours = f"{minutes / 18 / 60:.1f} in {len(facts.rounds)} rounds"
    return Need(
        "water",
        "People",
        "Drinking water",
        litres,
        "litres",
        (
            ("Players", str(facts.players)),
            ("Helpers", "not said: none counted" if facts.helpers is None else str(facts.helpers)),
            (
                "Heat",
                f"{heat} °C, {'taken until a forecast is written' if facts.heat_c is None else 'as written'}",
            ),
            ("A person and hour", f"{an_hour / 1000:g} litres"),
            ("Hours", hours + (f"; 18 holes taken for {unknown} without a layout" if unknown else "")),
            ("In all, rounded up", f"{litres} litres"),
        ),
        f"{PRACTICE}; a supply, not advice on drinking",
        ("practice.things_water", "practice.things_heat", "practice.round_minutes_18_holes.to"),
    )


def _first_aid() -> Need:
    lacks = "ask whoever is licensed for first aid where you play"
    return Need(
        "first-aid",
        "People",
        "First-aid kits",
        None,
        "",
        (
            (
                "Not computed",
                "What is needed and who may use it is for those licensed; local law comes first.",
            ),
        ),
        "no figure of ours",
        (),
        lacks,
    )


# --- Prizes and packs ------------------------------------------------------------------------------------------------


def _prizes(facts: Facts, by: Assumptions) -> tuple[Need, ...]:
    amateurs = [each for each in facts.divisions if not each.professional]
    pros = [each for each in facts.divisions if each.professional]
    trophies = [(each, trophies_of(each.players, by.trophies)) for each in amateurs]
    paid = [(each, places_paid(each.players, each.depth_percent)) for each in pros]
    undecided = [each.code for each, places in paid if places is None]
    lacks = f"no published depth for {', '.join(undecided)}" if undecided else ""
    packs = with_spare(facts.players, by.spare_percent)
    return (
        Need(
            "packs",
            "Prizes and packs",
            "Player packs",
            packs,
            "",
            (
                ("Players", str(facts.players)),
                (f"With {by.spare_percent} % spare, rounded up", str(packs)),
            ),
            PRACTICE,
            ("practice.things_spare_percent",),
        ),
        Need(
            "trophies",
            "Prizes and packs",
            "Trophies",
            sum(count for _, count in trophies),
            "",
            (
                *((f"{each.code}, {each.players} players", str(count)) for each, count in trophies),
                ("Professional divisions", "not in the table: write your own number"),
            ),
            f"{by.trophies_source}, for true amateur divisions; for others a starting point",
        ),
        Need(
            "envelopes",
            "Prizes and packs",
            "Envelopes for cash prizes",
            None if undecided else sum(places or 0 for _, places in paid),
            "",
            tuple(
                (
                    f"{each.code}, {each.players} players",
                    "not known" if places is None else f"{each.depth_percent} % rounded up: {places}",
                )
                for each, places in paid
            )
            or (("Professional divisions", "none: no cash prizes"),),
            f"{by.depth_source}, one for each paid place; ties may need more",
            (by.depth_rule,) if by.depth_rule else (),
            lacks,
        ),
    )


def _float(facts: Facts, by: Assumptions, money: Callable[[int], str]) -> tuple[Need, ...]:
    """Change for those who pay at the table; a line for each note and coin, and the whole in money."""
    found = float_for(facts.due_cents, by.cash_percent, by.note_cents, by.change_cents)
    rules = (
        "practice.things_cash_percent",
        "practice.things_note_cents",
        "practice.things_change_cents",
    )
    lacks = f"no coin for {money(found.left_cents)} of change" if found.left_cents else ""
    steps: Steps = (
        ("Owe at the table", str(len(facts.due_cents))),
        (
            f"Pay in cash, {by.cash_percent} % rounded up",
            f"{found.payers}, taken as those who need most change",
        ),
        ("Each pays with notes of", money(by.note_cents)),
        ("Change in all", money(found.cents)),
    )
    pieces = tuple(_piece(piece, steps, rules, lacks, money) for piece in found.pieces if piece.count)
    return pieces or (Need("float", FLOAT, "Change", 0, "", steps, PRACTICE, rules, lacks),)


def _piece(piece: Piece, steps: Steps, rules: Sequence[str], lacks: str, money: Callable[[int], str]) -> Need:
    return Need(
        f"float-{piece.cents}",
        FLOAT,
        piece_name(piece.cents, money),
        piece.count,
        "",
        (*steps, (f"Of {money(piece.cents)}", str(piece.count))),
        PRACTICE,
        tuple(rules),
        lacks,
    )


def piece_name(cents: int, money: Callable[[int], str]) -> str:
    """A note or a coin: which of the two it is depends on the country."""
    return f"Notes or coins of {money(cents)}"


def _kit(by: Assumptions) -> tuple[Need, ...]:
    return tuple(
        Need(
            f"kit-{key}",
            "Kit",
            name,
            count,
            "",
            (("Every event", str(count)),),
            PRACTICE,
        )
        for key, name, count in by.kit
    )
