"""The steps of keeping a card: the group as published, what stands, what differs, which line counts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from events.course.models import LayoutHole
from events.draw.models import Group, Seat, Sheet
from events.entries.models import Entry
from events.setup.models import Round
from scoring.cards.arithmetic import HoleSpec, line_total
from scoring.cards.checking import LineIn, faults
from scoring.cards.models import Card, CardLine, CardVersion, StandingLine
from scoring.cards.restanding import NothingLeft, Read, restand

State = CardVersion.State


class CardRefused(Exception):
    """The card cannot be taken; `sentences` name player and hole."""

    def __init__(self, *sentences: str) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


@dataclass(frozen=True, slots=True)
class Place:
    """The group as the published tee sheet has it: its seats in card order, the holes of its layout; `start_index` is
    its first hole, counted from 0."""

    sheet: Sheet
    seats: list[Seat]
    holes: list[HoleSpec]
    start_index: int

    @property
    def entry_ids(self) -> list[int]:
        return [seat.entry_id for seat in self.seats]


def claim(round: Round, group_number: int) -> tuple[Round, Card]:
    """The round and the card, locked until the transaction ends. The round is locked too, because a player
    who was moved by a later tee sheet has a current line on another card of it."""
    locked = Round.objects.select_for_update(of=("self",)).select_related("event").get(pk=round.pk)
    card, _ = Card.objects.select_for_update().get_or_create(round=locked, group_number=group_number)
    return locked, card


def refuse_over(round: Round) -> None:
    if round.event.over_at is not None:
        raise CardRefused("The event is over: cards stay as they are.")


def refuse_locked(card: Card) -> None:
    if card.locked:
        raise CardRefused(
            f"The card of group {card.group_number} is verified and locked: what changes now is a ruling."
        )


def place_of(round: Round, group_number: int) -> Place:
    group = (
        Group.objects.filter(sheet__round=round, sheet__state=Sheet.State.PUBLISHED, number=group_number)
        .select_related("sheet", "start")
        .first()
    )
    if group is None:
        if not Sheet.objects.filter(round=round, state=Sheet.State.PUBLISHED).exists():
            raise CardRefused(f"Round {round.number} has no published tee sheet.")
        raise CardRefused(f"Group {group_number} is not on the tee sheet of round {round.number}.")
    seats = Seat.objects.filter(group=group).select_related("entry__person").order_by("order")
    holes = LayoutHole.objects.filter(layout=group.layout_id).order_by("position")
    specs = [HoleSpec(hole.label, hole.par) for hole in holes]
    return Place(group.sheet, list(seats), specs, group.start.position - 1)


def check(place: Place, lines: Sequence[LineIn]) -> None:
    names = {seat.entry_id: seat.entry.person.name for seat in place.seats}
    found: list[str] = [] if lines else ["There is no line on this card."]
    seen: set[int] = set()
    for line in lines:
        if line.entry_id not in names:
            found.append(f"Entry {line.entry_id} is not in this group on the published tee sheet.")
        elif line.entry_id in seen:
            found.append(f"{names[line.entry_id]} stands on this card twice.")
        else:
            found += faults(line, names[line.entry_id], place.holes)
        seen.add(line.entry_id)
    if found:
        raise CardRefused(*found)


def typed_lines(round: Round, entry_ids: Sequence[int]) -> dict[int, CardLine]:
    """The typed line that stands for each player, from whichever card."""
    lines = CardLine.objects.filter(round=round, entry__in=entry_ids, current=True).select_related("version")
    return {line.entry_id: line for line in lines}


def figures(line: LineIn | CardLine) -> tuple[list[int | None], list[int], int, int | None]:
    """What two versions are compared by: no penalty throw and none written are the same."""
    penalties = [penalty or 0 for penalty in line.penalties]
    while penalties and penalties[-1] == 0:
        penalties.pop()
    return list(line.throws), penalties, line.additional, line.written_total


def differs(line: LineIn, held: CardLine | None) -> bool:
    if held is None:
        return any(score is not None for score in line.throws) or line.written_total is not None
    return figures(line) != figures(held)


def differs_blind(line: LineIn, held: CardLine | None) -> bool:
    """As `differs`, of an entry that was typed without seeing the first: what it leaves out says nothing."""
    if held is None:
        return differs(line, held)
    total = line.written_total
    return (
        list(line.throws) != list(held.throws)
        or line.additional != held.additional
        or total not in {None, held.written_total}
    )


def line_in(held: CardLine | StandingLine, throws: Sequence[int | None]) -> LineIn:
    """A line that is kept already as one to hand in, with these throws."""
    return LineIn(
        held.entry_id, throws, held.penalties, held.additional, held.additional_reason, held.written_total
    )


def filled(place: Place, lines: Sequence[LineIn], standing: Mapping[int, CardLine]) -> list[LineIn]:
    """A line for every seat: the one handed in, else what stands, else blank."""
    given = {line.entry_id: line for line in lines}
    blank: list[int | None] = [None] * len(place.holes)
    filled = []
    for entry_id in place.entry_ids:
        held = standing.get(entry_id)
        if entry_id in given:
            filled.append(given[entry_id])
        elif held is not None and len(held.throws) == len(place.holes):
            filled.append(line_in(held, held.throws))
        else:
            filled.append(LineIn(entry_id, blank))
    return filled


def write_lines(version: CardVersion, round: Round, place: Place, lines: Sequence[LineIn]) -> list[CardLine]:
    pars = [hole.par for hole in place.holes]
    made = []
    for order, line in enumerate(lines, start=1):
        added = line_total(line.throws, pars, line.additional)
        throws, penalties, additional, written = figures(line)
        made.append(
            CardLine(
                version=version,
                round=round,
                entry_id=line.entry_id,
                order=order,
                throws=throws,
                penalties=penalties,
                additional=additional,
                additional_reason=line.additional_reason.strip()[:200],
                written_total=written,
                played=added.played,
                total=added.total,
                complete=added.complete,
            )
        )
    return CardLine.objects.bulk_create(made)


def make_current(
    round: Round,
    card: Card,
    version: CardVersion,
    lines: Sequence[CardLine],
    standing: Mapping[int, CardLine],
) -> None:
    """Let these lines stand, and count them. A blank line takes nothing from the card of a group that the player was in
    before; it does correct an earlier version of the same card."""
    taking = []
    for line in lines:
        held = standing.get(line.entry_id)
        elsewhere = held is not None and held.version.card_id != card.pk
        if not (elsewhere and line.played == 0):
            taking.append(line)
    entries = [line.entry_id for line in taking]
    CardLine.objects.filter(round=round, entry__in=entries, current=True).update(current=False)
    CardLine.objects.filter(pk__in=[line.pk for line in taking]).update(current=True)
    count(round, entries)
    for other in CardVersion.objects.filter(card=card, state=State.DIFFERS).exclude(pk=version.pk):
        held_there = {line.entry_id: figures(line) for line in other.lines.all()}
        if held_there == {line.entry_id: figures(line) for line in lines}:
            set_state(other, State.SUPERSEDED)  # both say the same by now: nothing is left to decide


def set_state(version: CardVersion, state: str) -> None:
    version.state = state
    version.save(update_fields=["state"])


def count(round: Round, entry_ids: Iterable[int], read: Read | None = None) -> dict[int, StandingLine | None]:
    """Bring what stands up to date. Raises CardRefused where rulings take off more throws than are written."""
    try:
        return restand(round, entry_ids, read)
    except NothingLeft as nothing:
        name = Entry.objects.select_related("person").get(pk=nothing.entry_id).person.name
        raise CardRefused(f"{name}: a ruling takes off more throws than are written.") from None
