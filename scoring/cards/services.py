"""Writing cards: every submission is a version that stays; the newest undisputed one is current."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from events.entries.models import Status
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.checking import LineIn
from scoring.cards.keeping import (
    CardRefused,
    Place,
    check,
    claim,
    differs,
    differs_blind,
    figures,
    filled,
    make_current,
    place_of,
    refuse_locked,
    refuse_over,
    set_state,
    typed_lines,
    write_lines,
)
from scoring.cards.models import Card, CardLine, CardVersion

__all__ = [
    "CardRefused",
    "LineIn",
    "Saved",
    "mark_finished",
    "mark_returned",
    "resolve_difference",
    "save_card",
]

State = CardVersion.State


@dataclass(frozen=True, slots=True)
class Saved:
    """`conflict`: kept beside the current version until somebody decides; `replayed`: it was here already."""

    version: CardVersion
    conflict: bool
    replayed: bool


@transaction.atomic
def save_card(
    *,
    round: Round,
    group_number: int,
    lines: Sequence[LineIn],
    base: int,
    submission: UUID,
    source: str,
    actor: Actor,
    now: datetime,
    reason: str = "",
) -> Saved:
    """Keep what somebody wrote as a new version of the group's card.

    `base` is the number of the version that the writer had in front of them, 0: none. The new version becomes
    the current one, unless somebody else's is current meanwhile and the figures differ: then it is kept as
    DIFFERS for somebody to decide. Players of the group without a line keep what stands. The same
    `submission` with the same figures is one version, however often it comes. A complete card that does not
    come from a phone is in.

    Raises CardRefused when there is no published tee sheet, the group is not on it, a player is not in the
    group, a figure cannot be, the card is verified, or the event is over.
    """
    locked, card = claim(round, group_number)
    known = _known(card, submission, lines)
    if isinstance(known, Saved):
        return known
    refuse_over(locked)
    refuse_locked(card)
    place = place_of(locked, group_number)
    check(place, lines)
    standing = typed_lines(locked, place.entry_ids)
    version = _next_version(
        card,
        _state_of(card, source, base, lines, standing),
        base=base,
        submission=known,
        source=source,
        sheet=place.sheet,
        at=now,
        by=actor.name[:150],
        reason=reason,
    )
    made = write_lines(version, locked, place, filled(place, lines, standing))
    if version.state == State.CURRENT:
        make_current(locked, card, version, made, standing)
        _note_returned(card, version, place, made, now)
    card.opened_by, card.opened_at = _released(card, actor)
    card.save(update_fields=["latest", "returned_at", "opened_by", "opened_at"])
    conflict = version.state == State.DIFFERS
    _log(Action.CARD_CONFLICT if conflict else Action.CARD_SAVED, locked, card, version, made, actor, now)
    return Saved(version, conflict=conflict, replayed=False)


def _next_version(card: Card, state: str, **facts: Any) -> CardVersion:
    """The card's next version; one that is current takes the place of the one before (the card is saved later)."""
    if state == State.CURRENT:
        for current in CardVersion.objects.filter(card=card, state=State.CURRENT):
            set_state(current, State.SUPERSEDED)
    card.latest += 1
    return CardVersion.objects.create(card=card, number=card.latest, state=state, **facts)


def _state_of(
    card: Card, source: str, base: int, lines: Sequence[LineIn], standing: Mapping[int, CardLine]
) -> str:
    """A second, blind entry never takes the place of the first: it says the same, or it differs."""
    current = CardVersion.objects.filter(card=card, state=State.CURRENT).first()
    if current is None:
        return State.CURRENT
    if source == CardVersion.Source.SECOND:
        same = not any(differs_blind(line, standing.get(line.entry_id)) for line in lines)
        return State.AGREES if same else State.DIFFERS
    stale = base != current.number
    conflict = stale and any(differs(line, standing.get(line.entry_id)) for line in lines)
    return State.DIFFERS if conflict else State.CURRENT


@transaction.atomic
def resolve_difference(
    *, version: CardVersion, take: bool, reason: str, actor: Actor, now: datetime
) -> CardVersion:
    """Decide on a version that differs: taken, it becomes the current one; otherwise it stays as not taken.

    Raises CardRefused when it was decided already or the event is over.
    """
    round, card = claim(version.card.round, version.card.group_number)
    refuse_over(round)
    refuse_locked(card)
    version = CardVersion.objects.get(pk=version.pk)
    if version.state != State.DIFFERS:
        raise CardRefused(f"Version {version.number} was decided already.")
    lines = list(version.lines.order_by("order"))
    if take:
        for current in CardVersion.objects.filter(card=card, state=State.CURRENT):
            set_state(current, State.SUPERSEDED)
        set_state(version, State.CURRENT)
        entries = [line.entry_id for line in lines]
        make_current(round, card, version, lines, typed_lines(round, entries))
    else:
        set_state(version, State.REJECTED)
    _log(Action.CARD_RESOLVED, round, card, version, lines, actor, now, taken=take, reason=reason)
    return version


@transaction.atomic
def mark_finished(
    *, round: Round, group_number: int, at: datetime | None, actor: Actor, now: datetime
) -> Card:
    """The group's last putt, which starts the clock of its card; None takes it back.

    Raises CardRefused for a time to come, a group that is not on the tee sheet, or an event that is over.
    """
    return _mark(round, group_number, "finished_at", at, Action.CARD_FINISHED, actor, now)


@transaction.atomic
def mark_returned(
    *, round: Round, group_number: int, at: datetime | None, actor: Actor, now: datetime
) -> Card:
    """When the card came in; None takes it back. Raises CardRefused as `mark_finished` does."""
    return _mark(round, group_number, "returned_at", at, Action.CARD_RETURNED, actor, now)


def _mark(
    round: Round,
    group_number: int,
    field: str,
    at: datetime | None,
    action: Action,
    actor: Actor,
    now: datetime,
) -> Card:
    if at is not None and at > now:
        raise CardRefused("This time is still to come.")
    locked, card = claim(round, group_number)
    refuse_over(locked)
    place_of(locked, group_number)
    before = getattr(card, field)
    if before == at and (field != "returned_at" or card.return_noted == (at is not None)):
        return card
    setattr(card, field, at)
    if field == "returned_at":
        card.return_noted = at is not None
    card.save(update_fields=[field, "return_noted"])
    record(
        chain=locked.event.slug,
        action=action,
        subject=f"{locked}, {card}",
        actor=actor,
        now=now,
        detail={
            "round": locked.number,
            "group": group_number,
            "old": before.isoformat() if before else None,
            "new": at.isoformat() if at else None,
        },
    )
    return card


def _known(card: Card, submission: UUID, lines: Sequence[LineIn]) -> Saved | UUID:
    """What this submission has become already, or the key under which it is to be kept.

    A page that was sent, got no answer and was then changed comes again under its old key with other
    figures. That is a submission of its own; its key follows from the figures, so that it too is kept once.
    """
    for key in (submission, uuid5(submission, _fingerprint(lines))):
        version = CardVersion.objects.filter(submission=key).select_related("card").first()
        if version is None:
            return key
        if version.card_id != card.pk:
            raise CardRefused("This page was sent for another card. Open the card again.")
        held = {line.entry_id: line for line in version.lines.all()}
        if not any(differs(line, held.get(line.entry_id)) for line in lines):
            return Saved(version, conflict=version.state == State.DIFFERS, replayed=True)
    raise CardRefused("This page was sent already. Open the card again.")  # pragma: no cover


def _fingerprint(lines: Sequence[LineIn]) -> str:
    return json.dumps([[line.entry_id, *figures(line)] for line in sorted(lines, key=lambda x: x.entry_id)])


def _note_returned(
    card: Card, version: CardVersion, place: Place, lines: Sequence[CardLine], now: datetime
) -> None:
    """A complete card that is typed is in by now; when it came in, nobody has said by that. Neither a phone's figures
    nor the holes of somebody who is absent are a card in somebody's hand."""
    playing = {seat.entry_id for seat in place.seats if seat.entry.status == Status.CONFIRMED}
    done = all(line.complete for line in lines if line.entry_id in playing)
    at_hand = version.source not in {CardVersion.Source.DEVICE, CardVersion.Source.DESK}
    if card.returned_at is None and done and at_hand:
        card.returned_at = now


def _released(card: Card, actor: Actor) -> tuple[str, datetime | None]:
    return ("", None) if card.opened_by == actor.name else (card.opened_by, card.opened_at)


def _log(
    action: Action,
    round: Round,
    card: Card,
    version: CardVersion,
    lines: Sequence[CardLine],
    actor: Actor,
    now: datetime,
    *,
    taken: bool | None = None,
    reason: str = "",
) -> None:
    detail = {
        "round": round.number,
        "group": card.group_number,
        "version": version.number,
        "base": version.base,
        "source": version.source,
        "lines": {str(line.entry_id): figures(line) for line in lines},
    }
    if taken is not None:
        detail["taken"] = taken
    record(
        chain=round.event.slug,
        action=action,
        subject=f"{round}, {card}, {version.number}",
        actor=actor,
        now=now,
        detail=detail,
        reason=reason or version.reason,
    )
