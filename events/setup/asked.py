"""Numbers that an address or a form of a page asks for. Pure: anybody may have typed anything there."""

LONGEST = 15  # digits; nothing that is counted here has more, and a database takes them all


def whole_number(text: str | None) -> int | None:
    """The number, or None for anything but digits and for more of them than anything here counts to."""
    return int(text) if text and text.isdecimal() and len(text) <= LONGEST else None
