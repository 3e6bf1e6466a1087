"""Evidence that players agreed to their scores. The rules ask for no signature (Official Rules 2025, 808): it helps to
settle a dispute and is never a ground for a penalty."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.entries.models import Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.keeping import CardRefused, Place, claim, place_of, refuse_over
from scoring.cards.models import Card, Confirmation, Device, StandingLine

EVIDENCE = "The rules ask for no signature: it is evidence, and never a ground for a penalty."
CHANGED = "The scores have changed meanwhile: look at them again."


@dataclass(frozen=True, slots=True)
class Confirmed:
    """One player's newest confirmation; `holds` while the scores are those that were confirmed, `same_holes` also
    where throws on the total came to them since."""

    id: int
    entry_id: int
    total: int
    at: datetime
    by: str
    source: str
    source_label: str
    holds: bool
    same_holes: bool


def figures_digest(throws: Sequence[int | None], additional: int) -> str:
    """What a confirmation is about: hole scores in layout order and throws on the total, without rulings."""
    return hashlib.sha256(json.dumps([list(throws), additional]).encode()).hexdigest()


def written_total(line: StandingLine) -> int | None:
    """Throws as the group wrote them, without rulings; None while nothing is written."""
    scored = [throws for throws in line.throws if throws is not None]
    return sum(scored) + line.additional if scored else None


@transaction.atomic
def confirm(
    *,
    round: Round,
    group_number: int,
    entry_id: int,
    source: str,
    total: int,
    key: UUID,
    actor: Actor,
    now: datetime,
    throws: Sequence[int | None] | None = None,
    device_key: UUID | None = None,
) -> Confirmation:
    """Keep a player's yes to the own hole scores and total, as they stand. The same key again is the one that is there.

    `throws` are the hole scores that the player saw; None where only the total was. Raises CardRefused when they or
    the total are not what stands, when a hole has no score, for a player who is not in the group, and once the event
    is over.
    """
    locked, card = claim(round, group_number)
    held = Confirmation.objects.filter(key=key).first()
    if held is not None:
        return held
    refuse_over(locked)
    place = place_of(locked, group_number)
    if entry_id not in place.entry_ids:
        raise CardRefused("This player is not in the group.")
    line = StandingLine.objects.filter(round=locked, entry=entry_id).first()
    if line is None or not line.complete:
        raise CardRefused("There are holes without a score.")
    if written_total(line) != total or (throws is not None and list(throws) != line.throws):
        raise CardRefused(CHANGED)
    device = Device.objects.filter(card=card, key=device_key).first() if device_key else None
    made = Confirmation.objects.create(
        card=card,
        entry_id=entry_id,
        source=source,
        device=device,
        digest=figures_digest(line.throws, line.additional),
        total=total,
        key=key,
        at=now,
        by=actor.name[:150],
    )
    if source == Confirmation.Source.PHONE:
        note_handed_in(locked, card, place)
    _log(Action.SCORES_CONFIRMED, made, locked, actor, now)
    return made


def note_handed_in(round: Round, card: Card, place: Place) -> None:
    """With the last player's yes on a phone the card is in, and came in then, unless the desk has noted when (3
    queries; 0 where it has). A yes that was recorded from paper says nothing of when the paper came."""
    if card.return_noted:
        return
    playing = {seat.entry_id for seat in place.seats if seat.entry.status == Status.CONFIRMED}
    said = confirmations_of(round, playing)
    phones = [each.at for each in said.values() if each.holds and each.source == Confirmation.Source.PHONE]
    if not playing or len(phones) < len(playing):
        return
    last = max(phones)
    card.returned_at = min(card.returned_at or last, last)
    card.return_noted = True
    card.save(update_fields=["returned_at", "return_noted"])


@transaction.atomic
def take_back_confirmation(*, confirmation: Confirmation, actor: Actor, now: datetime) -> None:
    """For a tick that was set by mistake; it stays to be read. Raises CardRefused once the event is over."""
    locked, _ = claim(confirmation.card.round, confirmation.card.group_number)
    refuse_over(locked)
    if Confirmation.objects.filter(pk=confirmation.pk, taken_back_at=None).update(taken_back_at=now):
        _log(Action.CONFIRMATION_TAKEN_BACK, confirmation, locked, actor, now)


def confirmations_of(round: Round, entry_ids: Iterable[int]) -> dict[int, Confirmed]:
    """Entry → the newest confirmation that was not taken back (2 queries)."""
    wanted = list(entry_ids)
    rows = Confirmation.objects.filter(card__round=round, entry__in=wanted, taken_back_at=None).order_by("pk")
    lines = {line.entry_id: line for line in StandingLine.objects.filter(round=round, entry__in=wanted)}
    return {row.entry_id: _confirmed(row, lines.get(row.entry_id)) for row in rows}


def _confirmed(row: Confirmation, line: StandingLine | None) -> Confirmed:
    holds = line is not None and row.digest == figures_digest(line.throws, line.additional)
    return Confirmed(
        id=row.pk,
        entry_id=row.entry_id,
        total=row.total,
        at=row.at,
        by=row.by,
        source=row.source,
        source_label=row.get_source_display(),
        holds=holds,
        same_holes=holds or (line is not None and row.digest == figures_digest(line.throws, 0)),
    )


def _log(action: Action, made: Confirmation, round: Round, actor: Actor, now: datetime) -> None:
    record(
        chain=round.event.slug,
        action=action,
        subject=f"{round}, {made.card}",
        actor=actor,
        now=now,
        detail={
            "round": round.number,
            "entry": made.entry_id,
            "total": made.total,
            "source": made.source,
            "digest": made.digest,
        },
    )
