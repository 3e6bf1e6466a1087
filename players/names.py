"""Names as people write them, and as a hurried volunteer types them."""

from events.sheets.cells import plain


def fold(text: str) -> str:
    """Lower case without accents, for searching and sorting: "Ørsted Łoś" → "orsted los"."""
    return plain(text)


def sort_key(family: str, given: str) -> str:
    """Surname first; somebody with one name only sorts by it."""
    return fold(f"{family} {given}") or f"{family}{given}"
