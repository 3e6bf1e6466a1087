"""The address that a card's QR code opens: readable by anybody who holds the card, guessable by nobody.

The same group has the same address each time, so that a card printed twice is the same paper.
"""

import re
from dataclasses import dataclass

from django.core.signing import BadSignature, Signer
from django.urls import reverse

from events.setup.models import Round

_IN_ADDRESS = re.compile(r"/group/([^/?#\s]+)")


def _signer() -> Signer:
    return Signer(salt="group", sep="~")  # ~ is never escaped in an address


class BadToken(Exception):
    """Not an address that this laptop has signed."""


@dataclass(frozen=True, slots=True)
class GroupLink:
    event_id: int
    round_number: int
    group_number: int


def group_token(round: Round, group_number: int) -> str:
    return _signer().sign(f"{round.event_id}.{round.number}.{group_number}")


def group_path(round: Round, group_number: int) -> str:
    """The group's page, as a path: `/group/…/`."""
    return reverse("group:page", args=[group_token(round, group_number)])


def read_token(token: str) -> GroupLink:
    """What a token names. Raises BadToken."""
    try:
        event, round_number, group = _signer().unsign(token).split(".")
    except (BadSignature, ValueError):
        raise BadToken(token[:80]) from None
    return GroupLink(int(event), int(round_number), int(group))


def scanned_token(text: str) -> str | None:
    """The token in what a scanner typed, an address or the bare token; None: it is something else."""
    found = _IN_ADDRESS.search(text)
    if found:
        return found[1]
    return text.strip() if "~" in text else None
