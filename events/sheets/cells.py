"""What one cell can hold, and its text made comparable: invisible characters, accents, punctuation."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True)
class Uncomputed:
    """A formula whose result the file does not carry (made by a program that never calculated it)."""

    formula: str


Cell = str | int | Decimal | date | datetime | bool | Uncomputed | None

# Marks that no reader sees: soft hyphen, zero-width space, direction marks and overrides, word joiner, BOM.
_INVISIBLE = re.compile("[\u00ad\u061c\u200b\u200e\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff]")
# A joiner means something only after a letter of the scripts that join (Arabic, Persian, the Indic ones).
_STRAY_JOINER = re.compile("(?<![\u0590-\u0dff\u0e00-\u1cff])[\u200c\u200d]")
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_TEXT_MARK = re.compile(r"\A'\s*(?=[=+@＝＋－＠-]|[\d\s.,:/-]+\Z)")
_NOT_WORD = re.compile(r"[\W_]+")
# Letters that decompose into nothing simpler, so that stripping accents would leave them as they are.
_STROKES = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "æ": "ae", "œ": "oe", "þ": "th", "ı": "i"})


def seen(text: str) -> str:
    """Normal form C without control characters and marks that no reader sees; line breaks and tabs stay.

    A direction override turns round the letters after it, on paper and on the board too, and of two names that look
    the same one could not be found. Nothing that is seen is lost, so that nobody has to be asked.
    """
    if text.isascii() and text.isprintable():
        return text
    return unicodedata.normalize("NFC", _CONTROL.sub("", _STRAY_JOINER.sub("", _INVISIBLE.sub("", text))))


def clean(text: str) -> str:
    """What is `seen`, every run of white space one blank, ends stripped.

    An apostrophe that only marks a cell as text (`'70012`, or `'=` as `safe.neutral` writes it) goes too.
    """
    text = " ".join(seen(text).split())
    return _TEXT_MARK.sub("", text) if text.startswith("'") else text


def is_blank(cell: Cell) -> bool:
    """True for nothing at all and for text of which nothing is seen."""
    if cell is None:
        return True
    if not isinstance(cell, str):
        return False
    return (not cell or cell.isspace()) if cell.isascii() else not clean(cell)


def plain(text: str) -> str:
    """Words for comparing: no case, accents or punctuation; `#` and `№` read as the word number."""
    text = clean(text).replace("#", " number ").replace("№", " number ").casefold().translate(_STROKES)
    if not text.isascii():
        text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return " ".join(_NOT_WORD.sub(" ", text).split())


def squeezed(text: str) -> str:
    """`plain` without blanks, so that `E-mail`, `e mail` and `EMail` are one word."""
    return plain(text).replace(" ", "")


def shown(cell: Cell, longest: int = 60) -> str:
    """The cell as a person reads it in a preview or in a problem; shortened with an ellipsis."""
    if cell is None:
        return ""
    if isinstance(cell, Uncomputed):
        text = f"={cell.formula}"
    elif isinstance(cell, bool):
        text = "yes" if cell else "no"
    elif isinstance(cell, datetime):
        text = cell.isoformat(sep=" ", timespec="minutes")
    elif isinstance(cell, date):
        text = cell.isoformat()
    else:
        text = clean(cell) if isinstance(cell, str) else str(cell)
    return text if len(text) <= longest else text[: longest - 1] + "…"
