"""Reading what the quantities rest on: the field, the rounds, the holes, and the values of the rulebook."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from events.course.models import LayoutHole, LayoutUse
from events.draw.papers import copies_of
from events.entries.models import IN_THE_FIELD, Status
from events.logistics.physical import PhysicalHole
from events.logistics.things.facts import (
    Assumptions,
    Course,
    DivisionField,
    Facts,
    KitPiece,
    LineField,
    RoundField,
)
from events.logistics.things.models import LineLength, ThingsPlan
from events.rulebook.divisions import UnknownDivision
from events.rulebook.divisions import division as published
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round

COMING = (*IN_THE_FIELD, Status.APPLIED)
COLDEST_C = -60


@dataclass(frozen=True, slots=True)
class Coming:
    """An entrant as the list needs it: no name. `left`: plays no more, but a pack was handed out."""

    code: str
    pack: str
    given: bool
    owed: int
    left: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """An out-of-bounds line with what is written of its string."""

    hole: PhysicalHole
    name: str
    how: str
    metres: int | None


def lines_of(event: Event, holes: Sequence[PhysicalHole]) -> tuple[Line, ...]:
    """Every line of every physical hole (1 query)."""
    lengths = {(row.hole_id, row.name): row.metres for row in LineLength.objects.filter(hole__event=event)}
    return tuple(
        Line(hole, spot.name, spot.how, lengths.get((hole.id, spot.name)))
        for hole in holes
        for spot in hole.lines
    )


def facts_of(
    event: Event,
    book: Rulebook,
    plan: ThingsPlan | None,
    everybody: Sequence[Coming],
    lines: Sequence[Line],
    holes: Sequence[PhysicalHole],
) -> Facts:
    entries = [each for each in everybody if not each.left]
    counted = Counter(each.code for each in entries)
    divisions = tuple(_division(event, book, code, counted[code]) for code in sorted(counted))
    return Facts(
        players=max(len(entries), (plan.players or 0) if plan else 0),
        divisions=divisions,
        rounds=_rounds(event),
        cards=str(copies_of(event)),
        course=_course(holes, lines),
        helpers=plan.helpers if plan else None,
        heat_c=plan.heat_c if plan else None,
        due_cents=tuple(each.owed for each in entries if each.owed > 0),
        packs_gone=len(everybody) - len(entries),
    )


def _division(event: Event, book: Rulebook, code: str, players: int) -> DivisionField:
    try:
        professional = published(book, code).professional
    except UnknownDivision:
        professional = False
    key = depth_rule(event, book)
    depth = book.int(key) if key else None
    return DivisionField(code, players, professional, depth if professional else None)


def depth_rule(event: Event, book: Rulebook) -> str:
    """The key of the least share of a professional division that is paid; empty where the tier has none."""
    key = f"prize.pro_depth_percent.{event.tier}"
    return key if book.has(key) and book.get(key) is not None else ""


def _rounds(event: Event) -> tuple[RoundField, ...]:
    """Each round with the most holes of a layout that is played in it (3 queries)."""
    uses = LayoutUse.objects.filter(round__event=event).values_list("round_id", "layout_id").order_by("pk")
    parts = LayoutHole.objects.filter(layout__event=event).values_list("layout_id", flat=True).order_by("pk")
    holes = Counter(parts)
    most: dict[int, int] = {}
    for round_id, layout_id in uses:
        most[round_id] = max(most.get(round_id, 0), holes[layout_id])
    rounds = Round.objects.filter(event=event).order_by("number").values_list("pk", "number")
    return tuple(RoundField(number, most.get(pk) or None) for pk, number in rounds)


def _course(holes: Sequence[PhysicalHole], lines: Sequence[Line]) -> Course:
    return Course(
        holes=len(holes),
        undescribed=sum(1 for hole in holes if not hole.described),
        signs=sum(len(hole.signs) for hole in holes),
        zones=sum(len(hole.zones) for hole in holes),
        mandatories=sum(len(hole.mandatories) for hole in holes),
        spotter_holes=sum(1 for hole in holes if hole.spotter),
        spotter_unknown=sum(1 for hole in holes if hole.spotter is None),
        lines=tuple(LineField(f"hole {line.hole.signs[0]}", line.name, line.metres) for line in lines),
    )


def assumptions_of(event: Event, book: Rulebook) -> Assumptions:
    """The values of the rulebook on which the quantities rest, with the event's own ones in their place (no query)."""
    on_a_hole = "practice.things_on_a_hole"
    depth = depth_rule(event, book)
    return Assumptions(
        group_size=max(1, book.int("group.size_aim")),
        group_source=book.value("group.size_aim").citation,
        spare_percent=book.int("practice.things_spare_percent"),
        pencils_each=book.int("practice.things_pencils_each"),
        flag_every_m=max(1, book.int("practice.things_flag_every")),
        zone_markers=book.int(f"{on_a_hole}.zone_markers"),
        mandatory_signs=book.int(f"{on_a_hole}.mandatory_signs"),
        spotter_flags=book.int(f"{on_a_hole}.spotter_flags"),
        hole_signs=book.int(f"{on_a_hole}.hole_signs"),
        heat_c=book.int("practice.things_heat"),
        water=_water(book),
        minutes_18_holes=book.int("practice.round_minutes_18_holes.to"),
        trophies=_pairs(book, "prize.trophies", "trophies"),
        trophies_source=book.value("prize.trophies").citation,
        depth_source=book.value(depth).citation if depth else "no published depth of prizes",
        depth_rule=depth,
        cash_percent=book.int("practice.things_cash_percent"),
        note_cents=max(1, book.int("practice.things_note_cents")),
        change_cents=tuple(int(text) for text in book.words("practice.things_change_cents")),
        kit=tuple(
            KitPiece(str(row["key"]), str(row["name"]), int(str(row["count"])), row.get("for_play") is True)
            for row in book.rows("practice.things_kit")
        ),
    )


def _water(book: Rulebook) -> tuple[tuple[int, int], ...]:
    """From how many °C on how many millilitres; `cooler` holds below all others."""
    table = book.table("practice.things_water")
    return tuple(
        (COLDEST_C if name == "cooler" else int(name.removeprefix("from_")), int(str(amount)))
        for name, amount in table.items()
    )


def _pairs(book: Rulebook, key: str, name: str) -> tuple[tuple[int, int], ...]:
    return tuple((int(str(row["from"])), int(str(row[name]))) for row in book.rows(key))
