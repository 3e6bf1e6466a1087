"""The list of things as it stands: what is needed, what is here, what is short."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Q

from events.entries.models import Entry
from events.entries.queries import with_money
from events.logistics.physical import physical_holes
from events.logistics.things.facts import FLOAT, Assumptions, Facts, Need
from events.logistics.things.gathering import COMING, Coming, Line, assumptions_of, facts_of, lines_of
from events.logistics.things.models import Lot, Thing, ThingsPlan
from events.logistics.things.quantities import needs_of, piece_name
from events.setup.figures import money_text
from events.setup.models import Event
from events.setup.queries import rulebook_for

OWN = "Own"


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
    """Player packs: `given` so far, `gone` of them to people who have left since; `left` are here, not handed out."""

    players: int
    given: int
    have: int
    gone: int = 0

    @property
    def with_players(self) -> int:
        return self.given - self.gone

    @property
    def waiting(self) -> int:
        return max(0, self.players - self.with_players)

    @property
    def left(self) -> int | None:
        """Packs that are here; None where more were handed out than anybody wrote down as here."""
        return self.have - self.given if self.have >= self.given else None

    @property
    def short(self) -> int | None:
        """Players who will get none with what is here; None: what is here is not known."""
        return None if self.left is None else max(0, self.waiting - self.left)


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
    everybody = _entries(event)
    entries = [each for each in everybody if not each.left]
    holes = physical_holes(event)
    lines = lines_of(event, holes)
    facts = facts_of(event, book, plan, everybody, lines, holes)
    by = assumptions_of(event, book)
    rows = {thing.key: thing for thing in Thing.objects.filter(event=event)}
    lots: dict[int, list[Lot]] = {}
    for lot in Lot.objects.filter(thing__event=event, removed_at=None).order_by("pk"):
        lots.setdefault(lot.thing_id, []).append(lot)

    def money(cents: int) -> str:
        return money_text(cents, event.currency)

    items = _items(needs_of(facts, by, money), rows, lots, money)
    have = next((item.have for item in items if item.key == "packs"), 0)
    given = sum(1 for each in everybody if each.given)
    sections: dict[str, list[Item]] = {}
    for item in items:
        sections.setdefault(item.section, []).append(item)
    return Things(
        items=items,
        facts=facts,
        assumptions=by,
        plan=plan,
        packs=Packs(len(entries), given, have, len(everybody) - len(entries)),
        packs_by_kind=_kinds(everybody),
        lines=lines,
        dropped=tuple(thing for thing in rows.values() if thing.dropped_at is not None),
        entered=len(entries),
        sections=sections,
    )


def _entries(event: Event) -> list[Coming]:
    """Everybody who plays or has applied, and who left with a pack (1 query)."""
    packed = Q(status__in=COMING) | Q(pack_given_at__isnull=False)
    found = with_money(Entry.objects.filter(packed, event=event)).select_related("division")
    return [
        Coming(
            code=entry.division.code,
            pack=entry.pack,
            given=entry.pack_given_at is not None,
            owed=entry.owed,  # type: ignore[attr-defined]
            left=entry.status not in COMING,
        )
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
    """Of each kind: who plays or has one already, and how many were handed out."""
    counted = Counter(each.pack or "no kind said" for each in entries)
    given = Counter(each.pack or "no kind said" for each in entries if each.given)
    return tuple((kind, counted[kind], given[kind]) for kind in sorted(counted))
