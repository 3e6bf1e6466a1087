"""Choosing how messages speak, and taking addresses into a mail file."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.messages.mailing import mail_file
from events.logistics.messages.models import MessageWords
from events.logistics.messages.queries import addresses_of
from events.logistics.messages.words import languages
from events.setup.models import Event


class MessageRefused(Exception):
    """It cannot be done as asked; the message is a sentence to show."""


@transaction.atomic
def choose_words(
    *, event: Event, tags: Sequence[str], sign: str, actor: Actor, now: datetime
) -> MessageWords:
    """In which languages the event's messages speak, and who signs. Raises MessageRefused."""
    chosen = list(dict.fromkeys(tags))
    if not chosen:
        raise MessageRefused("Choose at least one language.")
    if any(tag not in languages() for tag in chosen):
        raise MessageRefused("There are no words for one of these languages.")
    facts = {"languages": chosen, "sign": " ".join(sign.split())[:80]}
    row, _ = MessageWords.objects.update_or_create(event=event, defaults=facts)
    record(
        chain=event.slug, action=Action.MESSAGE_WORDS, subject=str(event), actor=actor, now=now, detail=facts
    )
    return row


@transaction.atomic
def addressed_mail(*, event: Event, subject: str, text: str, actor: Actor, now: datetime) -> bytes:
    """The mail file with the addresses of the field, hidden from each other. The log keeps that they were taken, and
    how many, never which. Raises MessageRefused where nobody has left one."""
    addresses = addresses_of(event)
    if not addresses:
        raise MessageRefused("Nobody in the field has left a mail address.")
    record(
        chain=event.slug,
        action=Action.MAIL_ADDRESSES,
        subject=" ".join(subject.split())[:200],
        actor=actor,
        now=now,
        detail={"addresses": len(addresses)},
    )
    return mail_file(subject, text, addresses)
