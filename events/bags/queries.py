"""Reading boxes and bags."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from events.bags.models import Bag, InBag
from events.entries.models import Entry
from events.setup.models import Round
from players.models import Disc


@dataclass(frozen=True, slots=True)
class PieceView:
    """A piece of the box and how it stands to the bag of a round.

    `change`: "in" or "out" since the round before, "" otherwise. `late_at`: when it joined after the declaration.
    """

    disc: Disc
    in_bag: bool
    change: str
    late_at: datetime | None


@dataclass(frozen=True, slots=True)
class BagView:
    """One entrant's bag of one round; `pieces` is the whole box, the bag first, by number.

    `put_away`: pieces no longer in the box, which may come back.
    `opened`: somebody has touched this round's bag; until then it is shown as the bag of the round before.
    """

    entry: Entry
    round: Round
    bag: Bag | None
    opened: bool
    compared: bool
    pieces: tuple[PieceView, ...]
    put_away: tuple[Disc, ...] = ()

    @property
    def carried(self) -> tuple[Disc, ...]:
        return tuple(piece.disc for piece in self.pieces if piece.in_bag)

    @property
    def came_in(self) -> tuple[Disc, ...]:
        return tuple(piece.disc for piece in self.pieces if piece.change == "in")

    @property
    def went_out(self) -> tuple[Disc, ...]:
        return tuple(piece.disc for piece in self.pieces if piece.change == "out")

    @property
    def declared_at(self) -> datetime | None:
        return self.bag.declared_at if self.bag else None


def box_of(entry: Entry) -> list[Disc]:
    """Every piece that is not put away, by number (1 query)."""
    return list(Disc.objects.filter(person=entry.person_id, put_away_at__isnull=True).order_by("number"))


def bag_of(entry: Entry, round: Round) -> BagView:
    """The bag of a round beside the box (3 queries)."""
    return bags_of([entry], round)[entry.pk]


def bags_of(entries: Iterable[Entry], round: Round) -> dict[int, BagView]:
    """Entry → its bag of the round, for a whole field (3 queries)."""
    entries = list(entries)
    bags: dict[int, list[Bag]] = {}
    found = Bag.objects.filter(entry__in=[entry.pk for entry in entries], round__number__lte=round.number)
    for bag in found.select_related("round").order_by("round__number"):
        bags.setdefault(bag.entry_id, []).append(bag)
    inside: dict[int, dict[int, InBag]] = {}
    for row in InBag.objects.filter(
        bag__in=[bag.pk for of in bags.values() for bag in of], taken_out_at=None
    ):
        inside.setdefault(row.bag_id, {})[row.disc_id] = row
    boxes: dict[int, list[Disc]] = {}
    for disc in Disc.objects.filter(person__in=[entry.person_id for entry in entries]).order_by("number"):
        boxes.setdefault(disc.person_id, []).append(disc)
    return {
        entry.pk: _view(entry, round, bags.get(entry.pk, []), inside, boxes.get(entry.person_id, []))
        for entry in entries
    }


def _view(
    entry: Entry, round: Round, bags: list[Bag], inside: dict[int, dict[int, InBag]], discs: list[Disc]
) -> BagView:
    own = next((bag for bag in bags if bag.round_id == round.pk), None)
    earlier = [bag for bag in bags if bag.round.number < round.number]
    last = earlier[-1] if earlier else None
    shown = own or last
    now_in = inside.get(shown.pk, {}) if shown else {}
    before = inside.get(last.pk, {}) if last else {}
    pieces = []
    for disc in discs:
        is_in = disc.pk in now_in and (own is not None or disc.put_away_at is None)
        if disc.put_away_at is not None and not is_in:
            continue
        change = ""
        if last is not None and own is not None and (disc.pk in now_in) != (disc.pk in before):
            change = "in" if is_in else "out"
        row = now_in.get(disc.pk) if own is not None else None
        pieces.append(PieceView(disc, is_in, change, row.put_in_at if row and row.late else None))
    pieces.sort(key=lambda piece: (not piece.in_bag, piece.disc.number))
    away = tuple(disc for disc in discs if disc.put_away_at is not None)
    return BagView(
        entry, round, own, own is not None, last is not None and own is not None, tuple(pieces), away
    )
