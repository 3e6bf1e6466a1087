"""Verifying a card: what stands is locked, and what changes afterwards is a ruling."""

from collections.abc import Mapping
from datetime import datetime
from uuid import uuid4

from django.db import transaction

from events.entries.models import Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.deciding import compared_at
from scoring.cards.keeping import (
    CardRefused,
    Place,
    claim,
    count,
    differs,
    line_in,
    place_of,
    refuse_over,
    typed_lines,
)
from scoring.cards.models import Card, CardVersion, HoleEntry, Ruling, StandingLine
from scoring.cards.services import save_card
from scoring.cards.signing import note_handed_in


@transaction.atomic
def verify_card(*, round: Round, group_number: int, why: str, actor: Actor, now: datetime) -> Card:
    """Lock the card as it stands; it is in by then, whenever it came. What stands becomes a version of its own unless
    it was typed just so. Verifying again changes nothing.

    Raises CardRefused while sources differ, while somebody who is playing has a hole without a score, while nobody has
    said whether a written score has a ruling already, for a group that is not on the sheet, and once the event is over.
    """
    locked, card = claim(round, group_number)
    if card.locked:
        return card
    refuse_over(locked)
    place = place_of(locked, group_number)
    waits = CardVersion.objects.filter(card=card, state=CardVersion.State.DIFFERS).exists()
    if waits or compared_at(locked, group_number, place).cells:
        raise CardRefused("The sources of this card differ: say first who is right.")
    standing = {
        line.entry_id: line for line in StandingLine.objects.filter(round=locked, entry__in=place.entry_ids)
    }
    _refuse_holes_missing(place, standing)
    _refuse_unasked(locked, place, standing)
    note_handed_in(locked, card, place)
    _write_down(locked, card, place, standing, actor, now)
    card.refresh_from_db()
    card.verified_at, card.verified_by, card.verified_why = now, actor.name[:150], why[:200]
    card.returned_at = card.returned_at or now
    card.save(update_fields=["verified_at", "verified_by", "verified_why", "returned_at"])
    _log_lock(Action.CARD_VERIFIED, locked, card, why, actor, now)
    return card


@transaction.atomic
def unlock_card(*, round: Round, group_number: int, reason: str, actor: Actor, now: datetime) -> Card:
    """Open a verified card again, for what is no ruling: a card that was typed for the wrong group, say.

    Raises CardRefused without a reason, for a card that is not verified, and once the event is over.
    """
    locked, card = claim(round, group_number)
    refuse_over(locked)
    if not card.locked:
        raise CardRefused("This card is not verified.")
    if not reason.strip():
        raise CardRefused("Write why the card is opened again.")
    card.verified_at, card.verified_by, card.verified_why = None, "", ""
    card.save(update_fields=["verified_at", "verified_by", "verified_why"])
    # What phones said meanwhile counts from now on.
    count(locked, HoleEntry.objects.filter(device__card=card).values_list("entry_id", flat=True))
    _log_lock(Action.CARD_UNLOCKED, locked, card, reason.strip(), actor, now)
    return card


def _refuse_holes_missing(place: Place, standing: Mapping[int, StandingLine]) -> None:
    missing = []
    for seat in place.seats:
        line = standing.get(seat.entry_id)
        if seat.entry.status != Status.CONFIRMED or (line is not None and line.complete):
            continue
        throws = line.throws if line else [None] * len(place.holes)
        blank = [hole.label for hole, score in zip(place.holes, throws, strict=True) if score is None]
        holes = "no hole has a score" if len(blank) == len(place.holes) else f"hole {', '.join(blank)}"
        missing.append(f"{seat.entry.person.name}: {holes}")
    if missing:
        raise CardRefused(f"Scores are missing. {'; '.join(missing)}.")


def _refuse_unasked(round: Round, place: Place, standing: Mapping[int, StandingLine]) -> None:
    """A ruling that the group wrote too would count twice for good: it is asked about before the card is locked. One
    on a hole without a score waits for that score (1 query)."""
    index = {hole.label: at for at, hole in enumerate(place.holes)}
    open_ones = Ruling.objects.filter(
        round=round, entry__in=place.entry_ids, in_card=None, taken_back_at=None
    ).select_related("entry__person")
    said = []
    for ruling in open_ones.order_by("pk"):
        line, at = standing.get(ruling.entry_id), index.get(ruling.hole_label)
        if line is not None and (line.played if at is None else line.throws[at] is not None):
            where = f"hole {ruling.hole_label}" if ruling.hole_label else "the total"
            said.append(f"{ruling.entry.person.name}, {where}, {ruling.throws:+d}, {ruling.what}")
    if said:
        raise CardRefused(f"Say first whether the written score has the ruling already: {'; '.join(said)}.")


def _write_down(
    round: Round,
    card: Card,
    place: Place,
    standing: Mapping[int, StandingLine],
    actor: Actor,
    now: datetime,
) -> None:
    typed = typed_lines(round, place.entry_ids)
    lines = [line_in(line, line.throws) for line in standing.values()]
    if not any(differs(line, typed.get(line.entry_id)) for line in lines):
        return
    current = CardVersion.objects.filter(card=card, state=CardVersion.State.CURRENT).first()
    save_card(
        round=round,
        group_number=card.group_number,
        lines=lines,
        base=current.number if current else 0,
        submission=uuid4(),
        source=CardVersion.Source.VERIFIED,
        actor=actor,
        now=now,
        reason="as it stood when the card was verified",
    )


def _log_lock(action: Action, round: Round, card: Card, why: str, actor: Actor, now: datetime) -> None:
    record(
        chain=round.event.slug,
        action=action,
        subject=f"{round}, {card}",
        actor=actor,
        now=now,
        detail={"round": round.number, "group": card.group_number, "version": card.latest},
        reason=why,
    )
