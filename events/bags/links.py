"""The address of a player's own page: readable by whoever holds the slip, guessable by nobody.

The same entrant has the same address each time, so that a slip printed twice is the same paper.
"""

import re

from django.core.signing import BadSignature, Signer
from django.urls import reverse

from events.entries.models import Entry

_IN_ADDRESS = re.compile(r"/bag/([^/?#\s]+)")


def _signer() -> Signer:
    return Signer(salt="bag", sep="~")  # ~ is never escaped in an address


class BadToken(Exception):
    """Not an address that this laptop has signed."""


def bag_token(entry: Entry) -> str:
    return _signer().sign(entry.code)


def bag_path(entry: Entry) -> str:
    """The player's page, as a path: `/bag/…/`."""
    return reverse("bag:page", args=[bag_token(entry)])


def read_token(token: str) -> str:
    """The entry's code. Raises BadToken."""
    try:
        return _signer().unsign(token)
    except BadSignature:
        raise BadToken(token[:80]) from None


def scanned_code(text: str) -> str | None:
    """The entry's code in what a scanner typed, an address or a bare token; None: it is something else."""
    found = _IN_ADDRESS.search(text)
    token = found[1] if found else text.strip()
    try:
        return read_token(token)
    except BadToken:
        return None
