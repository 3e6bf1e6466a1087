"""Working out again what counts of players' rounds: the typed line, the phones' figures, radio calls and rulings."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import F, QuerySet

from events.course.models import LayoutHole
from events.draw.models import Seat, Sheet
from events.setup.models import Round
from scoring.cards.arithmetic import HoleSpec, line_total
from scoring.cards.counted import counted, nothing_left, read_on_top
from scoring.cards.merging import Cell, Merged, Said, laid, merged
from scoring.cards.models import CardLine, HoleEntry, RadioCall, Ruling, StandingLine

WORKED_OUT = (
    "throws", "penalties", "additional", "additional_reason", "written_total", "on_top", "differs",
    "called_through", "called_to_par", "played", "total", "complete",
)  # fmt: skip


class NothingLeft(Exception):
    """Rulings take off more throws than are written for this player."""

    def __init__(self, entry_id: int) -> None:
        super().__init__(entry_id)
        self.entry_id = entry_id


@dataclass(frozen=True, slots=True)
class Read:
    """What a caller that has locked the round has read of it already, so that it is not read twice: everything that is
    said and counts, the typed lines and the holes by entry id, of every player to be worked out."""

    said: Sequence[Said]
    typed: Mapping[int, CardLine]
    holes: Mapping[int, Sequence[HoleSpec]]


@dataclass(frozen=True, slots=True)
class _Facts:
    """Everything that was said about some players of a round, by entry id."""

    holes: Mapping[int, Sequence[HoleSpec]]
    typed: Mapping[int, CardLine]
    cells: Mapping[Cell, Merged]
    calls: Mapping[int, RadioCall]
    rulings: Mapping[int, list[Ruling]]


def restand(
    round: Round, entry_ids: Iterable[int], read: Read | None = None
) -> dict[int, StandingLine | None]:
    """Work out again what counts for these players of the round; None: nothing is left that does (8 queries, whatever
    their number, and 3 with what was read already).

    Call it in the transaction that changed a fact, with the round locked. Raises NothingLeft.
    """
    wanted = sorted(set(entry_ids))
    facts = _facts(round, wanted, read or _read(round, wanted))
    lines = {entry_id: _worked_out(round, entry_id, facts) for entry_id in wanted}
    StandingLine.objects.bulk_create(
        [line for line in lines.values() if line is not None],
        update_conflicts=True,
        unique_fields=["round", "entry"],
        update_fields=WORKED_OUT,
    )
    gone = [entry_id for entry_id, line in lines.items() if line is None and entry_id not in facts.typed]
    if gone:
        StandingLine.objects.filter(round=round, entry__in=gone).delete()
    return lines


def _worked_out(round: Round, entry_id: int, facts: _Facts) -> StandingLine | None:
    """None: nothing was ever said, or only for a layout that was changed since."""
    holes, typed = facts.holes.get(entry_id, ()), facts.typed.get(entry_id)
    if typed is not None and len(typed.throws) != len(holes):
        typed = None  # written for a layout that was changed since: it says nothing about these holes
    labels = [hole.label for hole in holes]
    line = laid(entry_id, labels, typed.throws if typed else None, facts.cells)
    call = facts.calls.get(entry_id)
    if typed is None and call is None and not any(entry == entry_id for entry, _ in facts.cells):
        return None
    on_top = on_top_of(facts.rulings.get(entry_id, ()), labels)
    additional = typed.additional if typed else 0
    counts = counted(line.throws, additional, "", read_on_top(on_top))
    if nothing_left(counts):
        raise NothingLeft(entry_id)
    added = line_total(counts.throws, [hole.par for hole in holes], counts.additional)
    return StandingLine(
        round=round,
        entry_id=entry_id,
        throws=list(line.throws),
        penalties=typed.penalties if typed else [],
        additional=additional,
        additional_reason=typed.additional_reason if typed else "",
        written_total=typed.written_total if typed else None,
        on_top=on_top,
        differs=list(line.differs),
        called_through=call.through if call else 0,
        called_to_par=call.to_par if call else 0,
        played=added.played,
        total=added.total,
        complete=added.complete,
    )


def on_top_of(rulings: Iterable[Ruling], labels: Sequence[str]) -> list[list[Any]]:
    """The rulings that count on top of what is written, as a line keeps them.

    A hole that this layout does not have leaves the throws on the round: they are never lost.
    """
    index = {label: at for at, label in enumerate(labels)}
    return [
        [index.get(ruling.hole_label), ruling.throws, f"{ruling.what} ({ruling.rule})"] for ruling in rulings
    ]


def said_of(round: Round, entry_ids: Sequence[int], *, late: bool = True) -> list[Said]:
    """Everything that phones and the desk said about single holes of these players, oldest first (1 query). Without
    `late` nothing that came after its card was verified: it is kept to be read, and changes nothing."""
    rows = HoleEntry.objects.filter(round=round, entry__in=entry_ids)
    if not late:
        rows = rows.exclude(device__card__verified_at__lt=F("at"))
    return [row.said for row in as_kept(rows)]


@dataclass(frozen=True, slots=True)
class Kept:
    """One entry as it is kept; `number` counts on with every entry of the round that arrives."""

    number: int
    round_id: int
    said: Said


def as_kept(rows: QuerySet[HoleEntry]) -> list[Kept]:
    """Entries in the order of their arrival (1 query)."""
    found = rows.order_by("pk").values_list(
        "pk", "round_id", "key", "device_id", "seq", "entry_id", "hole", "throws", "over"
    )
    return [
        Kept(number, round_id, Said(str(key), device, seq, entry, hole, throws, tuple(over)))
        for number, round_id, key, device, seq, entry, hole, throws, over in found
    ]


def calls_of(round: Round, entry_ids: Sequence[int]) -> dict[int, RadioCall]:
    """The radio call that counts for each player: the farthest, of two as far the later one (1 query)."""
    calls = RadioCall.objects.filter(round=round, entry__in=entry_ids, taken_back_at=None)
    return {call.entry_id: call for call in calls.order_by("through", "at", "key")}


def _read(round: Round, entry_ids: Sequence[int]) -> Read:
    lines = CardLine.objects.filter(round=round, entry__in=entry_ids, current=True).select_related("version")
    typed = {line.entry_id: line for line in lines}
    return Read(said_of(round, entry_ids, late=False), typed, _holes_of(round, entry_ids, typed))


def _facts(round: Round, entry_ids: Sequence[int], read: Read) -> _Facts:
    """With what was not read yet (2 queries)."""
    rulings: dict[int, list[Ruling]] = defaultdict(list)
    counting = Ruling.objects.filter(round=round, entry__in=entry_ids, taken_back_at=None).exclude(
        in_card=True
    )
    for ruling in counting.order_by("pk"):
        rulings[ruling.entry_id].append(ruling)
    return _Facts(
        holes=read.holes,
        typed=read.typed,
        cells=merged(read.said),
        calls=calls_of(round, entry_ids),
        rulings=rulings,
    )


def _holes_of(
    round: Round, entry_ids: Sequence[int], typed: Mapping[int, CardLine]
) -> dict[int, Sequence[HoleSpec]]:
    """Entry → the holes of its group's layout on the published sheet; of somebody who is no longer on it, those of
    the sheet that the typed line was written for (2 queries)."""
    sheets = {line.version.sheet_id for line in typed.values()}
    seats = Seat.objects.filter(entry__in=entry_ids, sheet__round=round).order_by("sheet__version")
    layouts: dict[int, int] = {}
    published: set[int] = set()
    for entry, layout, sheet, state in seats.values_list(
        "entry_id", "group__layout_id", "sheet_id", "sheet__state"
    ):
        if state == Sheet.State.PUBLISHED:
            layouts[entry] = layout
            published.add(entry)
        elif entry not in published and sheet in sheets:
            layouts[entry] = layout
    holes: dict[int, list[HoleSpec]] = defaultdict(list)
    rows = LayoutHole.objects.filter(layout__in=set(layouts.values())).order_by("layout", "position")
    for layout, label, par in rows.values_list("layout_id", "label", "par"):
        holes[layout].append(HoleSpec(label, par))
    return {entry: holes[layout] for entry, layout in layouts.items()}
