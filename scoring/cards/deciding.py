"""Deciding who is right where the sources of a card differ: the cells, and what becomes of each source."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Max

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.figures import clock_text
from events.setup.models import Round
from scoring.cards.arithmetic import from_start
from scoring.cards.checking import LineIn
from scoring.cards.comparing import (
    ADDITIONAL,
    Difference,
    Totals,
    Voice,
    differing_cells,
    differing_totals,
    penalty_cell,
    radio_sentence,
    undecided,
)
from scoring.cards.keeping import (
    CardRefused,
    Place,
    claim,
    figures,
    place_of,
    refuse_locked,
    refuse_over,
    set_state,
    typed_lines,
)
from scoring.cards.live import Saying, keep
from scoring.cards.merging import by_device, merged
from scoring.cards.models import Card, CardLine, CardVersion, Device, HoleEntry, StandingLine
from scoring.cards.restanding import calls_of, said_of
from scoring.cards.services import save_card

State = CardVersion.State
Chosen = Mapping[tuple[int, str], int]  # (entry id, cell as `comparing` names it) → the figure that is right


@dataclass(frozen=True, slots=True)
class Compared:
    """What is open on a card: cells that differ, and what the radio said that the holes do not. `totals` were read
    differently; they are shown, since the right figures tell which of them was right."""

    cells: tuple[Difference, ...]
    radio: tuple[str, ...]
    totals: tuple[Totals, ...] = ()


def compared(round: Round, group_number: int) -> Compared:
    """Every source of a group's card held against the others (11 queries). Raises CardRefused for no such group."""
    return compared_at(round, group_number, place_of(round, group_number))


def compared_at(round: Round, group_number: int, place: Place) -> Compared:
    """As `compared`, for a group that was read already."""
    labels = [hole.label for hole in place.holes]
    order = from_start(len(labels), place.start_index)
    voices = _voices(round, group_number, place)
    standing = {
        line.entry_id: line for line in StandingLine.objects.filter(round=round, entry__in=place.entry_ids)
    }
    calls = calls_of(round, place.entry_ids)
    cells: list[Difference] = []
    radio, totals = [], []
    for seat in place.seats:
        name, said_of_player = seat.entry.person.name, voices.get(seat.entry_id, [])
        cells += differing_cells(seat.entry_id, name, labels, order, said_of_player)
        read = differing_totals(name, said_of_player)
        totals += [read] if read else []
        line, call = standing.get(seat.entry_id), calls.get(seat.entry_id)
        if line is not None and call is not None and len(line.throws) == len(labels):
            said = radio_sentence(
                name,
                call.through,
                call.to_par,
                [line.throws[index] for index in order],
                [place.holes[index].par for index in order],
            )
            radio += [said] if said else []
    return Compared(tuple(cells), tuple(radio), tuple(totals))


def _voices(round: Round, group_number: int, place: Place) -> dict[int, list[Voice]]:
    """Entry → everybody who says something about that player's holes: typed versions that stand or wait, then each
    phone with what nobody overruled."""
    found: dict[int, list[Voice]] = {entry: [] for entry in place.entry_ids}
    lines = CardLine.objects.filter(round=round, entry__in=place.entry_ids).select_related("version")
    typed = lines.filter(current=True) | lines.filter(
        version__state=State.DIFFERS, version__card__group_number=group_number
    )
    for line in typed.order_by("version__number"):
        if len(line.throws) == len(place.holes):
            found[line.entry_id].append(_typed_voice(round, line))
    phones = by_device(said_of(round, place.entry_ids))
    devices = Device.objects.in_bulk(phones)
    for number, said in sorted(phones.items()):
        device = devices[number]
        name = device.name or f"phone {device.pk}"
        for entry in place.entry_ids:
            throws = [said.get((entry, hole.label)) for hole in place.holes]
            found[entry].append(
                Voice(f"device {device.pk}", "the desk" if device.kind == "desk" else name, throws)
            )
    return found


def _typed_voice(round: Round, line: CardLine) -> Voice:
    who = f"{line.version.get_source_display()}, {line.version.by}"
    return Voice(
        f"version {line.version_id}",
        f"{who}, {clock_text(round.event.local(line.version.at))}",
        line.throws,
        additional=line.additional,
        reason=line.additional_reason,
        penalties=line.penalties,
        written_total=line.written_total,
    )


@transaction.atomic
def decide_cells(
    *, round: Round, group_number: int, chosen: Chosen, key: UUID, reason: str, actor: Actor, now: datetime
) -> None:
    """Write who is right for every cell on which the sources of a card differ: holes, the penalty throws beside them,
    and what is on the total. All sources stay as they are.

    What was typed becomes a new version where it was wrong or blank; versions that waited are done with, since
    everything in which they differ was asked, and phones that said another figure are overruled. The same key again
    changes nothing. Raises CardRefused while a cell is undecided, for a verified card, and once the event is over.
    """
    locked, card = claim(round, group_number)
    if _done(key):
        return
    refuse_over(locked)
    refuse_locked(card)
    place = place_of(locked, group_number)
    cells = compared_at(locked, group_number, place).cells
    left = undecided(cells, chosen)
    if left:
        raise CardRefused(f"Say who is right: {'; '.join(left)}.")
    if not cells:
        return
    holes = {(each.entry_id, each.cell) for each in cells if each.index is not None}
    overrule(locked, card, {cell: chosen[cell] for cell in holes}, key, now)
    _correct_typed(locked, card, place, cells, chosen, key, reason, actor, now)
    for version in CardVersion.objects.filter(card=card, state=State.DIFFERS):
        set_state(version, State.REJECTED)
    record(
        chain=locked.event.slug,
        action=Action.HOLES_DECIDED,
        subject=f"{locked}, {card}",
        actor=actor,
        now=now,
        detail={
            "round": locked.number,
            "group": group_number,
            "cells": [
                [each.entry_id, each.cell, chosen[each.entry_id, each.cell], _claims(each)] for each in cells
            ],
        },
        reason=reason,
    )


def _done(key: UUID) -> bool:
    """Whether this page's decision was written before: as the desk's figures, or as a version."""
    return (
        HoleEntry.objects.filter(key=uuid5(key, "0")).exists()
        or CardVersion.objects.filter(submission=uuid5(key, "version")).exists()
    )


def _claims(cell: Difference) -> dict[str, list[str]]:
    return {str(claim.throws): list(claim.who) for claim in cell.claims}


def overrule(round: Round, card: Card, right: Chosen, key: UUID, now: datetime) -> None:
    """The desk's own figure for each hole, over what any phone has said of it by now, which is kept. Call it with the
    round and the card claimed."""
    if not right:
        return
    desk, _ = Device.objects.get_or_create(
        card=card,
        key=uuid5(UUID(int=card.pk), "desk"),
        defaults={"kind": Device.Kind.DESK, "name": "the desk", "first_at": now, "last_at": now},
    )
    seq = HoleEntry.objects.filter(device=desk).aggregate(last=Max("seq"))["last"] or 0
    left = merged(said_of(round, sorted({entry for entry, _ in right})))
    sayings = []
    for count, ((entry, hole), throws) in enumerate(sorted(right.items())):
        cell = left.get((entry, hole))
        over = tuple(UUID(said.key) for said in (cell.said if cell else ()) if said.device != desk.pk)
        sayings.append(Saying(uuid5(key, str(count)), seq + count + 1, entry, hole, throws, over, now))
    keep(round, card, desk, sayings, now)


def _correct_typed(
    round: Round,
    card: Card,
    place: Place,
    cells: Sequence[Difference],
    chosen: Chosen,
    key: UUID,
    reason: str,
    actor: Actor,
    now: datetime,
) -> None:
    """A new version where the typed card has another figure than the one that is right, or a blank that somebody
    else filled. Of a player who was moved here the typed card may be another group's: then it is this one's first."""
    current = CardVersion.objects.filter(card=card, state=State.CURRENT).first()
    waiting: dict[int, list[CardLine]] = {}
    for line in CardLine.objects.filter(version__card=card, version__state=State.DIFFERS):
        if len(line.throws) == len(place.holes):
            waiting.setdefault(line.entry_id, []).append(line)
    labels = [hole.label for hole in place.holes]
    lines = []
    for entry, held in typed_lines(round, place.entry_ids).items():
        asked = [each for each in cells if each.entry_id == entry]
        right = _righted(held, waiting.get(entry, []), labels, asked, chosen)
        if figures(right) != figures(held):
            lines.append(right)
    if lines:
        save_card(
            round=round,
            group_number=card.group_number,
            lines=lines,
            base=current.number if current else 0,
            submission=uuid5(key, "version"),
            source=CardVersion.Source.COMPARED,
            actor=actor,
            now=now,
            reason=reason or "compared with what others wrote",
        )


def _righted(
    held: CardLine,
    waiting: Sequence[CardLine],
    labels: Sequence[str],
    cells: Sequence[Difference],
    chosen: Chosen,
) -> LineIn:
    """The typed line with what was decided, and with what only a waiting version says (asked about by nobody, since a
    blank says nothing)."""
    by_cell = {each.cell: each for each in cells}
    right = {cell: chosen[held.entry_id, cell] for cell in by_cell}
    throws = []
    for index, (label, figure) in enumerate(zip(labels, held.throws, strict=True)):
        others = [line.throws[index] for line in waiting]
        typed = figure is not None or any(other is not None for other in others)
        throws.append(right[label] if typed and label in right else figure or _only(others))
    penalties = [
        right.get(
            penalty_cell(label), _beside(held, index) or _only(_beside(line, index) for line in waiting)
        )
        for index, label in enumerate(labels)
    ]
    additional, why = held.additional, held.additional_reason
    if ADDITIONAL in right and right[ADDITIONAL] != additional:
        additional = right[ADDITIONAL]
        why = next(each.reason for each in by_cell[ADDITIONAL].claims if each.throws == additional)
    total = _total_read(held, waiting, sum(figure or 0 for figure in throws) + additional)
    return LineIn(held.entry_id, throws, penalties, additional, why, total)


def _beside(line: CardLine, index: int) -> int | None:
    """Penalty throws written beside a hole's score; None: none."""
    return (line.penalties[index] or None) if index < len(line.penalties) else None


def _only(figures: Iterable[int | None]) -> int | None:
    said = {figure for figure in figures if figure is not None}
    return said.pop() if len(said) == 1 else None


def _total_read(held: CardLine, waiting: Sequence[CardLine], total: int) -> int | None:
    """The total on the paper card: where the other typist read one that the right figures bear out, it is that one,
    since a slip of the first may have been in the total as well; where the first read none, what the other read."""
    others = [line.written_total for line in waiting if line.written_total is not None]
    if total in others or held.written_total is not None:
        return total if total in others else held.written_total
    return next(iter(others), None)
