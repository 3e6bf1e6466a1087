"""The address that a card's QR code opens: readable by anybody who holds the card, guessable by nobody.

The same group has the same address each time, so that a card printed twice is the same paper, until the desk withdraws
it: then the card has a new link number, and what is printed from then on carries that.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from django.core.signing import BadSignature, Signer
from django.urls import reverse

from events.setup.models import Round
from scoring.cards.models import Card

_IN_ADDRESS = re.compile(r"/group/([^/?#\s]+)")
_PARTS = (3, 4)  # the first address of a group names no link number: its number is 0


def _signer() -> Signer:
    return Signer(salt="group", sep="~")  # ~ is never escaped in an address


class BadToken(Exception):
    """Not an address that this laptop has signed."""


@dataclass(frozen=True, slots=True)
class GroupLink:
    """`number`: how many addresses of the group were withdrawn before this one."""

    event_id: int
    round_number: int
    group_number: int
    number: int = 0


def group_token(round: Round, group_number: int, link_number: int = 0) -> str:
    named = f"{round.event_id}.{round.number}.{group_number}"
    return _signer().sign(f"{named}.{link_number}" if link_number else named)


def group_path(round: Round, group_number: int, link_number: int = 0) -> str:
    """The path of a group's page under this link number: `/group/…/`."""
    return reverse("group:page", args=[group_token(round, group_number, link_number)])


def group_paths(round: Round) -> Callable[[int], str]:
    """Group number → path of its page under the address that is good now (1 query for the whole round)."""
    cards = Card.objects.filter(round=round, link_number__gt=0)
    numbers = dict(cards.values_list("group_number", "link_number"))
    return lambda group_number: group_path(round, group_number, numbers.get(group_number, 0))


def read_token(token: str) -> GroupLink:
    """What a token names, whether it is still good or not. Raises BadToken."""
    try:
        parts = [int(part) for part in _signer().unsign(token).split(".")]
    except (BadSignature, ValueError):
        raise BadToken(token[:80]) from None
    if len(parts) not in _PARTS:
        raise BadToken(token[:80])
    return GroupLink(*parts)


def scanned_token(text: str) -> str | None:
    """The token in what a scanner typed, an address or the bare token; None: it is something else."""
    found = _IN_ADDRESS.search(text)
    if found:
        return found[1]
    return text.strip() if "~" in text else None
