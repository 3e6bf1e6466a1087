"""Deciding who is right where the sources of a card differ: the cells, and what becomes of each source."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Max

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.figures import clock_text
from events.setup.models import Round
from scoring.cards.arithmetic import from_start
from scoring.cards.comparing import Difference, Voice, differences, radio_sentence, undecided
from scoring.cards.keeping import (
    CardRefused,
    Place,
    claim,
    line_in,
    place_of,
    refuse_locked,
    refuse_over,
    set_state,
    typed_lines,
)
from scoring.cards.live import Saying, keep
from scoring.cards.merging import Said, merged
from scoring.cards.models import Card, CardLine, CardVersion, Device, HoleEntry, StandingLine
from scoring.cards.restanding import calls_of, said_of
from scoring.cards.services import save_card

State = CardVersion.State
Chosen = Mapping[tuple[int, str], int]  # (entry id, label of the hole) → the figure that is right


@dataclass(frozen=True, slots=True)
class Compared:
    """What is open on a card: cells that differ, and what the radio said that the holes do not."""

    cells: tuple[Difference, ...]
    radio: tuple[str, ...]


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
    radio = []
    for seat in place.seats:
        name = seat.entry.person.name
        cells += differences(seat.entry_id, name, labels, order, voices.get(seat.entry_id, []))
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
    return Compared(tuple(cells), tuple(radio))


def _voices(round: Round, group_number: int, place: Place) -> dict[int, list[Voice]]:
    """Entry → everybody who says something about that player's holes: typed versions that stand or wait, then each
    phone with what nobody overruled."""
    found: dict[int, list[Voice]] = {entry: [] for entry in place.entry_ids}
    holes = len(place.holes)
    lines = CardLine.objects.filter(round=round, entry__in=place.entry_ids).select_related("version")
    typed = lines.filter(current=True) | lines.filter(
        version__state=State.DIFFERS, version__card__group_number=group_number
    )
    for line in typed.order_by("version__number"):
        if len(line.throws) == holes:
            who = f"{line.version.get_source_display()}, {line.version.by}"
            at = clock_text(round.event.local(line.version.at))
            found[line.entry_id].append(Voice(f"version {line.version_id}", f"{who}, {at}", line.throws))
    for device, said in _by_device(said_of(round, place.entry_ids)).items():
        name = device.name or f"phone {device.pk}"
        for entry in place.entry_ids:
            throws = [said.get((entry, hole.label)) for hole in place.holes]
            found[entry].append(
                Voice(f"device {device.pk}", "the desk" if device.kind == "desk" else name, throws)
            )
    return found


def _by_device(said: Sequence[Said]) -> dict[Device, dict[tuple[int, str], int | None]]:
    """Device → what it says and nobody overruled."""
    devices = Device.objects.in_bulk({each.device for each in said})
    found: dict[Device, dict[tuple[int, str], int | None]] = {device: {} for device in devices.values()}
    for cell, left in merged(said).items():
        for each in left.said:
            found[devices[each.device]][cell] = each.throws
    return found


@transaction.atomic
def decide_cells(
    *, round: Round, group_number: int, chosen: Chosen, key: UUID, reason: str, actor: Actor, now: datetime
) -> None:
    """Write who is right for every cell on which the sources of a card differ. All sources stay as they are.

    What was typed becomes a new version where it was wrong; versions that waited are done with, and phones that said
    another figure are overruled. The same key again changes nothing. Raises CardRefused while a cell is undecided,
    for a verified card, and once the event is over.
    """
    locked, card = claim(round, group_number)
    if HoleEntry.objects.filter(key=uuid5(key, "0")).exists():
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
    _overrule(locked, card, cells, chosen, key, now)
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
                [each.entry_id, each.hole, chosen[each.entry_id, each.hole], _claims(each)] for each in cells
            ],
        },
        reason=reason,
    )


def _claims(cell: Difference) -> dict[str, list[str]]:
    return {str(claim.throws): list(claim.who) for claim in cell.claims}


def _overrule(
    round: Round, card: Card, cells: Sequence[Difference], chosen: Chosen, key: UUID, now: datetime
) -> None:
    """The desk's own figure for each cell, over what any phone says."""
    desk, _ = Device.objects.get_or_create(
        card=card,
        key=uuid5(UUID(int=card.pk), "desk"),
        defaults={"kind": Device.Kind.DESK, "name": "the desk", "first_at": now, "last_at": now},
    )
    seq = HoleEntry.objects.filter(device=desk).aggregate(last=Max("seq"))["last"] or 0
    left = merged(said_of(round, [each.entry_id for each in cells]))
    sayings = []
    for count, each in enumerate(cells):
        cell = left.get((each.entry_id, each.hole))
        over = tuple(UUID(said.key) for said in (cell.said if cell else ()) if said.device != desk.pk)
        throws = chosen[each.entry_id, each.hole]
        sayings.append(
            Saying(uuid5(key, str(count)), seq + count + 1, each.entry_id, each.hole, throws, over, now)
        )
    keep(round, card, desk, sayings, now)


def _total_read(card: Card, held: CardLine, throws: Sequence[int | None]) -> int | None:
    """The total on the paper card: where the other typist read one that the right figures bear out, it is that one,
    since a slip of the first may have been in the total as well."""
    total = sum(figure or 0 for figure in throws) + held.additional
    read = CardLine.objects.filter(
        version__card=card, version__state=State.DIFFERS, entry=held.entry_id, written_total=total
    )
    return total if read.exists() else held.written_total


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
    """A new version where the typed card has another figure than the one that is right."""
    current = CardVersion.objects.filter(card=card, state=State.CURRENT).first()
    if current is None:
        return
    lines = []
    for entry, held in typed_lines(round, place.entry_ids).items():
        throws = list(held.throws)
        for each in cells:
            if each.entry_id == entry and throws[each.index] is not None:
                throws[each.index] = chosen[entry, each.hole]
        if throws != list(held.throws):
            lines.append(replace(line_in(held, throws), written_total=_total_read(card, held, throws)))
    if lines:
        save_card(
            round=round,
            group_number=card.group_number,
            lines=lines,
            base=current.number,
            submission=uuid5(key, "version"),
            source=CardVersion.Source.COMPARED,
            actor=actor,
            now=now,
            reason=reason or "compared with what others wrote",
        )
