"""Numbers and keys that an address or a form of a page asks for. Pure: anybody may have typed anything there."""

from uuid import UUID, uuid4

LONGEST = 15  # digits; nothing that is counted here has more, and a database takes them all


def whole_number(text: str | None) -> int | None:
    """The number, or None for anything but digits and for more of them than anything here counts to."""
    return int(text) if text and text.isdecimal() and len(text) <= LONGEST else None


def page_key(text: str | None) -> UUID:
    """The key under which a page sends, so that what it sends twice is kept once; a new one for a page without."""
    try:
        return UUID(text or "")
    except ValueError:
        return uuid4()
