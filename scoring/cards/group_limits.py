"""How often the pages of groups may be asked for: enough for every phone of a field, too little for a guesser.

Counted in Django's cache by the minute. A field behind one address (a hosted desk, a shared connection) stays far below
`FROM_ADDRESS`; addresses that were never signed here are what a guesser sends, so they get the smallest share.
"""

from datetime import datetime

from django.core.cache import cache
from django.http import HttpRequest

OF_LINK = 240  # a minute; four phones that type fast and ask every few seconds send some 80
FROM_ADDRESS = 3_000  # a minute; 160 phones behind one address send some 1,500
UNSIGNED = 30  # a minute; whoever mistypes an address does it a few times
_KEPT_SECONDS = 120


class TooOften(Exception):
    """Asked for too often within this minute; the message is a sentence."""

    def __init__(self) -> None:
        super().__init__(
            "This page was asked for too often. Wait a minute; what was typed is kept on the phone."
        )


def count_link(request: HttpRequest, place: str, now: datetime) -> None:
    """One more request for a group's page; `place` names the group. Raises TooOften."""
    _count(f"link {place}", OF_LINK, now)
    _count(f"from {_address(request)}", FROM_ADDRESS, now)


def count_unsigned(request: HttpRequest, now: datetime) -> None:
    """One more request for an address that this laptop has not signed. Raises TooOften."""
    _count(f"unsigned {_address(request)}", UNSIGNED, now)


def _address(request: HttpRequest) -> str:
    return str(request.META.get("REMOTE_ADDR", ""))


def _count(what: str, most: int, now: datetime) -> None:
    key = f"group-page {what} {int(now.timestamp()) // 60}".replace(" ", "_")
    cache.add(key, 0, _KEPT_SECONDS)
    try:
        count = cache.incr(key)
    except ValueError:  # thrown out of a full cache between the two lines
        return
    if count > most:
        raise TooOften
