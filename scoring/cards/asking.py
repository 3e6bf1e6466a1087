"""What a group asks of the desk from its phone: a ruling, or a look at a danger. It stays, answered or not."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event, Round
from scoring.cards.keeping import CardRefused, place_of
from scoring.cards.models import Card, Device, GroupMessage

MOST_OF_GROUP = 40  # whoever holds a card cannot fill the laptop
LONGEST = 500

Kind = GroupMessage.Kind


class AskRefused(Exception):
    """The question cannot be taken; the message is a sentence."""


@transaction.atomic
def ask_desk(
    *,
    round: Round,
    group_number: int,
    kind: str,
    entry_id: int | None,
    hole: str,
    text: str,
    key: UUID,
    device_key: UUID | None,
    actor: Actor,
    now: datetime,
) -> GroupMessage:
    """Keep a question of a group. The same `key` again is the question that is there.

    Raises AskRefused for a question without words, for a player or hole that is not on the group's card, and beyond
    MOST_OF_GROUP.
    """
    if not Card.objects.filter(round=round, group_number=group_number).exists():
        Card.objects.get_or_create(round=round, group_number=group_number)
    card = Card.objects.select_for_update(of=("self",)).get(round=round, group_number=group_number)
    held = GroupMessage.objects.filter(key=key).first()
    if held is not None:
        if held.card_id != card.pk:
            raise AskRefused("That was asked by another group.")
        return held
    words = text.strip()[:LONGEST]
    _check(card, round, group_number, kind, entry_id, hole, words)
    message = GroupMessage.objects.create(
        card=card,
        device=Device.objects.filter(card=card, key=device_key).first() if device_key else None,
        kind=kind,
        entry_id=entry_id,
        hole=hole,
        text=words,
        key=key,
        at=now,
    )
    _log(Action.GROUP_ASKED, message, round, actor, now, {"words": words, "hole": hole})
    return message


def _check(
    card: Card, round: Round, group_number: int, kind: str, entry_id: int | None, hole: str, words: str
) -> None:
    if kind not in Kind.values:
        raise AskRefused("The page sent a question of no known kind. Load it again.")
    if not words:
        raise AskRefused("Write in a few words what it is about, then send it again.")
    try:
        place = place_of(round, group_number)
    except CardRefused as refused:
        raise AskRefused(str(refused)) from None
    if entry_id is not None and entry_id not in place.entry_ids:
        raise AskRefused("That player is not in this group any more. Ask again without a name.")
    if hole and hole not in {spec.label for spec in place.holes}:
        raise AskRefused(f"There is no hole {hole[:6]} on this group's card.")
    if GroupMessage.objects.filter(card=card).count() >= MOST_OF_GROUP:
        raise AskRefused("This group has asked more than a page may send: say the rest at the desk.")


@transaction.atomic
def answer_group(*, message: GroupMessage, answer: str, actor: Actor, now: datetime) -> GroupMessage:
    """Say what the desk decided or did; the group's phones show it. A later answer replaces the one before, and both
    are in the log. Raises AskRefused without words."""
    locked = GroupMessage.objects.select_for_update(of=("self",)).select_related("card__round__event")
    message = locked.get(pk=message.pk)
    words = answer.strip()[:LONGEST]
    if not words:
        raise AskRefused("Write in a few words what the group is to know.")
    message.answer, message.answered_at, message.answered_by = words, now, actor.name[:150]
    message.save(update_fields=["answer", "answered_at", "answered_by"])
    _log(Action.GROUP_ANSWERED, message, message.card.round, actor, now, {"answer": words})
    return message


@dataclass(frozen=True, slots=True)
class Waiting:
    """A question that nobody has answered yet."""

    round_number: int
    group_number: int
    danger: bool
    hole: str
    at: datetime


def waiting_messages(event: Event) -> Sequence[Waiting]:
    """Questions of every group that wait for the desk, dangers first, then the oldest (1 query)."""
    rows = GroupMessage.objects.filter(card__round__event=event, answered_at__isnull=True).select_related(
        "card__round"
    )
    found = [
        Waiting(row.card.round.number, row.card.group_number, row.kind == Kind.DANGER, row.hole, row.at)
        for row in rows
    ]
    return sorted(found, key=lambda one: (not one.danger, one.at))


def messages_of(round: Round, group_number: int) -> list[GroupMessage]:
    """What a group has asked so far, oldest first (1 query)."""
    rows = GroupMessage.objects.filter(card__round=round, card__group_number=group_number)
    return list(rows.select_related("entry__person", "device").order_by("pk"))


def _log(
    action: Action, message: GroupMessage, round: Round, actor: Actor, now: datetime, detail: dict[str, str]
) -> None:
    record(
        chain=round.event.slug,
        action=action,
        subject=f"round {round.number}, group {message.card.group_number}",
        actor=actor,
        now=now,
        detail={"kind": message.get_kind_display(), **detail},
    )
