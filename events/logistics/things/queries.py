"""The list of things as it stands: what is needed, what is here, what is short."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from events.course.models import LayoutHole, LayoutUse
from events.draw.papers import copies_of
from events.entries.models import IN_THE_FIELD, Entry, Status
from events.entries.queries import with_money
from events.logistics.physical import PhysicalHole, physical_holes
from events.logistics.things.models import LineLength, Lot, Thing, ThingsPlan
from events.logistics.things.quantities import (
    FLOAT,
    Assumptions,
    Course,
    DivisionField,
    Facts,
    LineField,
    Need,
    RoundField,
    needs_of,
    piece_name,
)
from events.rulebook.divisions import UnknownDivision
from events.rulebook.divisions import division as published
from events.rulebook.loader import Rulebook
from events.setup.figures import money_text
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for

COMING = (*IN_THE_FIELD, Status.APPLIED)
OWN = "Own"
COLDEST_C = -60


@dataclass(frozen=True, slots=True)
class Coming:
    """An entrant as the list needs it: no name."""

    code: str
    pack: str
    given: bool
    owed: int


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the list. `need` None: an own thing. `have` counts every lot, wherever it is."""

    key: str
    section: str
    name: str
    unit: str
    needed: int | None
    own_number: bool
    lacks: str
    need: Need | None
    thing: Thing | None
    lots: tuple[Lot, ...] = ()

    @property
    def have(self) -> int:
        return sum(lot.count for lot in self.lots)

    @property
    def packed(self) -> int:
        return sum(lot.count for lot in self.lots if lot.packed_at or lot.on_site_at)

    @property
    def on_site(self) -> int:
        return sum(lot.count for lot in self.lots if lot.on_site_at)

    @property
    def short(self) -> int | None:
        """How many are missing; None: what is needed is not known."""
        return None if self.needed is None else max(0, self.needed - self.have)

    @property
    def over(self) -> int | None:
        return None if self.needed is None else max(0, self.have - self.needed)

    @property
    def boxes(self) -> str:
        return ", ".join(sorted({lot.box for lot in self.lots if lot.box}))

    @property
    def to_return(self) -> tuple[Lot, ...]:
        return tuple(lot for lot in self.lots if lot.way == Lot.Way.BORROWED and lot.returned_at is None)


@dataclass(frozen=True, slots=True)
class Packs:
    """Player packs: `needed` to hand out in all, `given` so far; `left` are those here that are not handed out."""

    players: int
    given: int
    have: int

    @property
    def waiting(self) -> int:
        return max(0, self.players - self.given)

    @property
    def left(self) -> int | None:
        """Packs that are here; None where more were handed out than anybody wrote down as here."""
        return self.have - self.given if self.have >= self.given else None

    @property
    def short(self) -> int | None:
        """Players who will get none with what is here; None: what is here is not known."""
        return None if self.left is None else max(0, self.waiting - self.left)


@dataclass(frozen=True, slots=True)
class Line:
    """An out-of-bounds line with what is written of its string."""

    hole: PhysicalHole
    name: str
    how: str
    metres: int | None


@dataclass(frozen=True, slots=True)
class Things:
    items: tuple[Item, ...]
    facts: Facts
    assumptions: Assumptions
    plan: ThingsPlan | None
    packs: Packs
    packs_by_kind: tuple[tuple[str, int, int], ...]  # kind, players, handed out
    lines: tuple[Line, ...]
    dropped: tuple[Thing, ...] = ()
    entered: int = 0
    sections: Mapping[str, list[Item]] = field(default_factory=dict)

    def item(self, key: str) -> Item | None:
        return next((item for item in self.items if item.key == key), None)

    @property
    def short(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.short)

    @property
    def unknown(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.needed is None)


def things_of(event: Event) -> Things:
    """Everything of the list, in a known number of queries whatever its size."""
    book = rulebook_for(event)
    plan = ThingsPlan.objects.filter(event=event).first()
    entries = _entries(event)
    holes = physical_holes(event)
    lines = _lines(event, holes)
    facts = _facts(event, book, plan, entries, lines, holes)
    by = assumptions_of(event, book)
    rows = {thing.key: thing for thing in Thing.objects.filter(event=event)}
    lots: dict[int, list[Lot]] = {}
    for lot in Lot.objects.filter(thing__event=event, removed_at=None).order_by("pk"):
        lots.setdefault(lot.thing_id, []).append(lot)

    def money(cents: int) -> str:
        return money_text(cents, event.currency)

    items = _items(needs_of(facts, by, money), rows, lots, money)
    have = next((item.have for item in items if item.key == "packs"), 0)
    given = sum(1 for each in entries if each.given)
    sections: dict[str, list[Item]] = {}
    for item in items:
        sections.setdefault(item.section, []).append(item)
    return Things(
        items=items,
        facts=facts,
        assumptions=by,
        plan=plan,
        packs=Packs(len(entries), given, have),
        packs_by_kind=_kinds(entries),
        lines=lines,
        dropped=tuple(thing for thing in rows.values() if thing.dropped_at is not None),
        entered=len(entries),
        sections=sections,
    )


def _entries(event: Event) -> list[Coming]:
    """Everybody who plays or has applied (1 query)."""
    found = with_money(Entry.objects.filter(event=event, status__in=COMING)).select_related("division")
    return [
        Coming(entry.division.code, entry.pack, entry.pack_given_at is not None, entry.owed)  # type: ignore[attr-defined]
        for entry in found.order_by("pk")
    ]


def _items(
    needs: Sequence[Need],
    rows: Mapping[str, Thing],
    lots: Mapping[int, list[Lot]],
    money: Callable[[int], str],
) -> tuple[Item, ...]:
    items = []
    for need in needs:
        thing = rows.get(need.key)
        number = thing.needed if thing is not None else None
        items.append(
            Item(
                key=need.key,
                section=need.section,
                name=need.name,
                unit=need.unit,
                needed=need.needed if number is None else number,
                own_number=number is not None,
                lacks="" if number is not None else need.lacks,
                need=need,
                thing=thing,
                lots=tuple(lots.get(thing.pk, ())) if thing is not None else (),
            )
        )
    named = {need.key for need in needs}
    for thing in rows.values():
        # A note of the float that nobody needs any more stays as long as some of it is here.
        left = tuple(lots.get(thing.pk, ()))
        own = thing.key.startswith("own-")
        if thing.key in named or thing.dropped_at is not None or not (own or left):
            continue
        piece = thing.key.removeprefix("float-")
        items.append(
            Item(
                key=thing.key,
                section=OWN if own else FLOAT,
                name=piece_name(int(piece), money) if piece.isdecimal() else str(thing),
                unit=thing.unit,
                needed=thing.needed if own else thing.needed or 0,
                own_number=True,
                lacks="",
                need=None,
                thing=thing,
                lots=left,
            )
        )
    return tuple(items)


def _kinds(entries: Sequence[Coming]) -> tuple[tuple[str, int, int], ...]:
    counted = Counter(each.pack or "no kind said" for each in entries)
    given = Counter(each.pack or "no kind said" for each in entries if each.given)
    return tuple((kind, counted[kind], given[kind]) for kind in sorted(counted))


def _lines(event: Event, holes: Sequence[PhysicalHole]) -> tuple[Line, ...]:
    """Every line of every physical hole (1 query)."""
    lengths = {(row.hole_id, row.name): row.metres for row in LineLength.objects.filter(hole__event=event)}
    return tuple(
        Line(hole, spot.name, spot.how, lengths.get((hole.id, spot.name)))
        for hole in holes
        for spot in hole.lines
    )


def _facts(
    event: Event,
    book: Rulebook,
    plan: ThingsPlan | None,
    entries: Sequence[Coming],
    lines: Sequence[Line],
    holes: Sequence[PhysicalHole],
) -> Facts:
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
            (str(row["key"]), str(row["name"]), int(str(row["count"])))
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
