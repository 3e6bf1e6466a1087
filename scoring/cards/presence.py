"""Who has a card open for typing: told to others, never a lock. Not logged, since nothing is decided by it."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from events.log.services import Actor
from events.setup.models import Round
from scoring.cards.models import Card

PING_SECONDS = 20
IDLE_AFTER = timedelta(seconds=60)  # three pings missed: whoever opens it next is shown instead
STALE_AFTER = timedelta(minutes=5)  # long gone: not shown any more


@dataclass(frozen=True, slots=True)
class Presence:
    """Somebody has a card open; `idle`: not heard of since `since`."""

    name: str
    since: datetime
    idle: bool


def presence_of(opened_by: str, opened_at: datetime | None, now: datetime) -> Presence | None:
    if not opened_by or opened_at is None or now - opened_at > STALE_AFTER:
        return None
    return Presence(opened_by, opened_at, idle=now - opened_at > IDLE_AFTER)


@transaction.atomic
def open_card(*, round: Round, group_number: int, actor: Actor, now: datetime) -> Presence | None:
    """Say that `actor` has the card open. Answers who else has it, and leaves that as it is, or None."""
    card, _ = Card.objects.select_for_update().get_or_create(round=round, group_number=group_number)
    held = presence_of(card.opened_by, card.opened_at, now)
    if held is not None and held.name != actor.name[:150] and not held.idle:
        return held
    card.opened_by, card.opened_at = actor.name[:150], now
    card.save(update_fields=["opened_by", "opened_at"])
    return None
