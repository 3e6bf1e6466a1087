"""What the pages and the paper of things show, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from events.logistics.things.forms import LengthForm
from events.logistics.things.gathering import Line
from events.logistics.things.models import Lot
from events.logistics.things.prints import Load, Missing
from events.logistics.things.queries import Item, Things
from events.setup.figures import in_units


@dataclass(frozen=True, slots=True)
class Step:
    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Working:
    lines: tuple[Step, ...]
    source: str


@dataclass(frozen=True, slots=True)
class LengthRow:
    """One field of the page of lengths; `value` as it was typed where it could not be kept."""

    line: Line
    field: str
    value: str
    problem: str


def working_of(item: Item) -> Working | None:
    """How a computed number comes about; the director's own number is said as such."""
    if item.need is None:
        return None
    lines = [Step(label, value) for label, value in item.need.working]
    if item.own_number:
        lines.append(Step("Written in its place", f"{item.needed} {item.unit}".strip()))
    return Working(tuple(lines), item.need.source)


def rests_on(item: Item) -> list[tuple[str, str]]:
    """The values of the rulebook on which a computed number rests, each with its words."""
    keys = item.need.rules if item.need else ()
    return [(key, _rule_words(key)) for key in keys]


def _rule_words(key: str) -> str:
    """ "practice.things_on_a_hole.hole_signs" is "on a hole: hole signs"."""
    words = key.partition(".")[2].removeprefix("things_")
    return words.replace(".", ": ", 1).replace("_", " ")


def length_rows(
    lines: Sequence[Line], units: str, refused: Mapping[str, LengthForm]
) -> tuple[LengthRow, ...]:
    rows = []
    for line in lines:
        field = f"{line.hole.id}/{line.name}"
        wrong = refused.get(field)
        kept = in_units(line.metres, units)
        value = str(wrong.data.get("length", "")) if wrong else "" if kept is None else str(kept)
        problem = " ".join(str(each) for each in wrong.errors.get("length", ())) if wrong else ""
        rows.append(LengthRow(line, field, value, problem))
    return tuple(rows)


def amount(count: int | None, unit: str) -> str:
    """A number with its unit; "not known" where nothing is."""
    return "not known" if count is None else f"{count:,} {unit}".strip()


def loads_of(things: Things) -> list[Load]:
    """What is carried, by box and thing; what is returned already is not."""
    return [
        Load(lot.box, item.name, amount(lot.count, item.unit), _back(lot), lot.packed_at is not None)
        for item in things.items
        for lot in item.lots
        if lot.returned_at is None
    ]


def _back(lot: Lot) -> str:
    if lot.way != Lot.Way.BORROWED:
        return ""
    return f"{lot.whose}, {lot.back_on:%a} {lot.back_on.day} {lot.back_on:%b}" if lot.back_on else lot.whose


def missing_of(things: Things) -> list[Missing]:
    """What is short, and what nobody can say yet."""
    rows = []
    for item in things.items:
        if item.short or (item.needed is None):
            short = amount(item.short, item.unit) if item.short else item.lacks
            rows.append(
                Missing(item.name, amount(item.needed, item.unit), amount(item.have, item.unit), short)
            )
    return rows
