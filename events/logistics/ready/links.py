"""The address of the walk: for whoever makes the course ready without an account, until the desk withdraws it."""

from django.core.signing import BadSignature, Signer
from django.urls import reverse

from events.logistics.ready.models import WalkLink
from events.setup.models import Event


def _signer() -> Signer:
    return Signer(salt="walk", sep="~")  # ~ is never escaped in an address


class BadToken(Exception):
    """Not an address that this laptop has signed, or one that was withdrawn."""


def walk_token(event: Event) -> str:
    """The token that is good now (1 query)."""
    link = WalkLink.objects.filter(event=event).first()
    return _signer().sign(f"{event.pk}.{link.number if link else 0}")


def walk_path(event: Event) -> str:
    return reverse("walk:page", args=[walk_token(event)])


def event_of(token: str) -> Event:
    """The event whose walk a token opens (2 queries). Raises BadToken."""
    try:
        event_id, number = (int(part) for part in _signer().unsign(token).split("."))
    except (BadSignature, ValueError):
        raise BadToken("This address is not from this laptop.") from None
    event = Event.objects.filter(pk=event_id).first()
    link = WalkLink.objects.filter(event_id=event_id).first()
    if event is None or number != (link.number if link else 0):
        raise BadToken("This address was withdrawn. Ask the desk for the new one.")
    return event
