"""How much of each thing an event needs, and how that comes about. Pure.

A bigger field never needs less. What rests on something that is not known is not known either: `needed` is None and
`lacks` says what is missing.
"""

from collections.abc import Callable, Sequence

from events.logistics.things.change import Piece, float_for
from events.logistics.things.counting import (
    ceil_percent,
    groups_of,
    places_paid,
    trophies_of,
    water_ml_an_hour,
    with_spare,
)
from events.logistics.things.course_needs import course_needs
from events.logistics.things.facts import FLOAT, PRACTICE, Assumptions, Facts, Need, Steps


def needs_of(facts: Facts, by: Assumptions, money: Callable[[int], str]) -> tuple[Need, ...]:
    """Every computed line, in the order of the list. `money` writes cents."""
    return (
        *_paper(facts, by),
        *course_needs(facts.course, by),
        _water(facts, by),
        _first_aid(),
        *_prizes(facts, by),
        *_float(facts, by, money),
        *_kit(facts, by),
    )


NO_ROUND = "no round is planned yet"
NOBODY = "nobody has entered; write how many"
NO_FIELD = "nobody has entered"  # a number alone does not say which divisions, or who owes what


def _lacks(facts: Facts, *, rounds: bool) -> str:
    """Why what goes by players, and by rounds where `rounds`, is not known yet."""
    missing = [NO_ROUND] if rounds and not facts.rounds else []
    return " and ".join([*missing, *([] if facts.players else [NOBODY])])


def _unknown(lacks: str) -> Steps:
    return (("Not known", lacks),) if lacks else ()


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
    lacks, nobody = _lacks(facts, rounds=True), _lacks(facts, rounds=False)
    return (
        Need(
            "cards",
            "Paper",
            "Score cards",
            None if lacks else cards,
            "",
            (*start, ("In all", f"{each} × {len(facts.rounds)} = {cards}")) if not lacks else _unknown(lacks),
            by.group_source,
            ("group.size_aim",),
            lacks,
        ),
        Need(
            "cards-spare",
            "Paper",
            "Spare score cards",
            None if lacks else spare,
            "",
            (("Score cards", str(cards)), (f"{by.spare_percent} % of them, rounded up", str(spare)))
            if not lacks
            else _unknown(lacks),
            PRACTICE,
            spared,
            lacks,
        ),
        Need(
            "pencils",
            "Paper",
            "Pencils",
            None if nobody else pencils,
            "",
            (
                ("Players", str(facts.players)),
                ("Each", str(by.pencils_each)),
                (f"With {by.spare_percent} % spare, rounded up", str(pencils)),
                *_unknown(nobody),
            ),
            PRACTICE,
            ("practice.things_pencils_each", *spared),
            nobody,
        ),
    )


# --- People ----------------------------------------------------------------------------------------------------------


def _water(facts: Facts, by: Assumptions) -> Need:
    heat = by.heat_c if facts.heat_c is None else facts.heat_c
    an_hour = water_ml_an_hour(heat, by.water)
    minutes = sum((18 if each.holes is None else each.holes) * by.minutes_18_holes for each in facts.rounds)
    unknown = sum(1 for each in facts.rounds if each.holes is None)
    people = facts.players + (facts.helpers or 0)
    litres = -(-people * an_hour * minutes // (18 * 60 * 1000))
    hours = f"{minutes / 18 / 60:.1f} in {len(facts.rounds)} rounds"
    lacks = _lacks(facts, rounds=True)
    return Need(
        "water",
        "People",
        "Drinking water",
        None if lacks else litres,
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
            *(_unknown(lacks) or (("In all, rounded up", f"{litres} litres"),)),
        ),
        f"{PRACTICE}; a supply, not advice on drinking",
        ("practice.things_water", "practice.things_heat", "practice.round_minutes_18_holes.to"),
        lacks,
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
    entered = sum(each.players for each in facts.divisions)
    no_field = "" if entered else NO_FIELD
    lacks = no_field or (f"no published depth for {', '.join(undecided)}" if undecided else "")
    nobody = _lacks(facts, rounds=False)
    packs = with_spare(facts.players + facts.packs_gone, by.spare_percent)
    gone: Steps = (("Left with theirs", str(facts.packs_gone)),) if facts.packs_gone else ()
    return (
        Need(
            "packs",
            "Prizes and packs",
            "Player packs",
            None if nobody else packs,
            "",
            (
                ("Players", str(facts.players)),
                *gone,
                (f"With {by.spare_percent} % spare, rounded up", str(packs)),
                *_unknown(nobody),
            ),
            PRACTICE,
            ("practice.things_spare_percent",),
            nobody,
        ),
        Need(
            "trophies",
            "Prizes and packs",
            "Trophies",
            None if no_field else sum(count for _, count in trophies),
            "",
            (
                *((f"{each.code}, {each.players} players", str(count)) for each, count in trophies),
                ("Professional divisions", "not in the table: write your own number"),
                *_unknown(no_field),
            ),
            f"{by.trophies_source}, for true amateur divisions; for others a starting point",
            (),
            no_field,
        ),
        Need(
            "envelopes",
            "Prizes and packs",
            "Envelopes for cash prizes",
            None if lacks else sum(places or 0 for _, places in paid),
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
    entered = any(each.players for each in facts.divisions)
    needed, lacks = (0, lacks) if entered else (None, NO_FIELD)
    return pieces or (Need("float", FLOAT, "Change", needed, "", steps, PRACTICE, rules, lacks),)


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


def _kit(facts: Facts, by: Assumptions) -> tuple[Need, ...]:
    """What every event takes along. What is only for the hours of play is not needed before any are planned."""
    needs = []
    for each in by.kit:
        lacks = NO_ROUND if each.for_play and not facts.rounds else ""
        needs.append(
            Need(
                f"kit-{each.key}",
                "Kit",
                each.name,
                None if lacks else each.count,
                "",
                _unknown(lacks) or (("Every event", str(each.count)),),
                PRACTICE,
                (),
                lacks,
            )
        )
    return tuple(needs)
