"""Names as people write them, and as a hurried volunteer types them."""

import unicodedata


def fold(text: str) -> str:
    """Lower case without accents, for searching and sorting: "Ørsted Łoś" → "orsted los"."""
    special = str.maketrans(
        {"ø": "o", "đ": "d", "ł": "l", "æ": "ae", "œ": "oe", "þ": "th", "ð": "d", "ı": "i"}
    )
    decomposed = unicodedata.normalize("NFKD", text.casefold().translate(special))
    kept = "".join(c for c in decomposed if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in kept).split())


def sort_key(family: str, given: str) -> str:
    """Surname first; somebody with one name only sorts by it."""
    return fold(f"{family} {given}") or f"{family}{given}"
