"""Numbers, keys and moments that an address, a form or a phone sends. Pure: anybody may have typed anything there."""

from datetime import datetime
from uuid import UUID, uuid4

LONGEST = 15  # digits; nothing that is counted here has more, and a database takes them all
YEARS = range(
    2000, 2100
)  # of a phone's clock that knows the day at all; no zone moves these out of any calendar


def whole_number(text: str | None) -> int | None:
    """The number, or None for anything but digits and for more of them than anything here counts to."""
    return int(text) if text and text.isdecimal() and len(text) <= LONGEST else None


def page_key(text: str | None) -> UUID:
    """The key under which a page sends, so that what it sends twice is kept once; a new one for a page without."""
    try:
        return UUID(text or "")
    except ValueError:
        return uuid4()


def phone_moment(said: object) -> datetime | None:
    """The phone's own time of an act; None for what has no time and zone. Nothing rests on it: it may be far off."""
    try:
        found = datetime.fromisoformat(said[:40]) if isinstance(said, str) else None
    except ValueError:
        return None
    return found if found is not None and found.tzinfo is not None and found.year in YEARS else None
