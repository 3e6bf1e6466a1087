"""Withdrawing a group's address: what is printed from then on carries a new one."""

from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.keeping import CardRefused, place_of
from scoring.cards.models import Card


class WithdrawRefused(Exception):
    """The address cannot be withdrawn; the message is a sentence."""


@transaction.atomic
def withdraw_link(
    *, round: Round, group_number: int, number: int, reason: str, actor: Actor, now: datetime
) -> Card:
    """Let the address with this link number open the group's page no more. Withdrawn already, nothing changes.

    Raises WithdrawRefused without a reason, and for a group that is not on the published sheet.
    """
    if not reason.strip():
        raise WithdrawRefused("Write why the address is withdrawn: the log keeps it.")
    try:
        place_of(round, group_number)
    except CardRefused as refused:
        raise WithdrawRefused(str(refused)) from None
    Card.objects.get_or_create(round=round, group_number=group_number)
    card = Card.objects.select_for_update(of=("self",)).get(round=round, group_number=group_number)
    if card.link_number != number:
        return card  # pressed twice, or by two people: one new address is enough
    card.link_number = number + 1
    card.save(update_fields=["link_number"])
    record(
        chain=round.event.slug,
        action=Action.GROUP_LINK_WITHDRAWN,
        subject=f"round {round.number}, group {group_number}",
        actor=actor,
        now=now,
        detail={"link": number, "new link": card.link_number},
        reason=reason.strip()[:200],
    )
    return card
