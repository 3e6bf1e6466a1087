"""Texts made to fit: wrapping by measured width, filing names, and the words for amounts and missing values."""

import re
import unicodedata
from collections.abc import Sequence

from events.paper.fonts import Style, clean, width

MISSING = "–"  # what stands where nothing is known; never a zero

# A break may follow a space, a hyphen or a slash, and any Chinese or Japanese character.
_ATOM = re.compile(r"[\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff]|[^\s\-–/\u3040-\u30ff\u3400-\u9fff]*[\-–/]+|"
                   r"[^\s\-–/\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff]+|\s+")  # fmt: skip


def wrap(text: str, style: Style, size: float, room: float) -> list[str]:
    """The text in lines no wider than `room` points, complete: a word that is too long is cut, never lost."""
    lines: list[str] = []
    line = ""
    for atom in _ATOM.findall(clean(text)):
        if width((line + atom).rstrip(), style, size) <= room:
            line = line + atom if line else atom.lstrip()
            continue
        if line.strip():
            lines.append(line.rstrip())
        *full, line = _cut(atom.lstrip(), style, size, room)
        lines.extend(full)
    if line.strip():
        lines.append(line.rstrip())
    return lines


def _cut(word: str, style: Style, size: float, room: float) -> list[str]:
    """One word in pieces that fit; a mark stays with its letter."""
    pieces = [""]
    for letter in _letters(word):
        if pieces[-1] and width(pieces[-1] + letter, style, size) > room:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _letters(word: str) -> list[str]:
    """Characters, each with the marks that belong to it."""
    letters: list[str] = []
    for char in word:
        if letters and unicodedata.combining(char):
            letters[-1] += char
        else:
            letters.append(char)
    return letters


def fitting_size(text: str, style: Style, sizes: Sequence[float], room: float) -> float | None:
    """The first of the sizes (largest first) at which the text fits one line, or None."""
    return next((size for size in sizes if width(text, style, size) <= room), None)


def money(cents: int | None) -> str:
    """An amount without its currency, or the dash when nothing is recorded."""
    if cents is None:
        return MISSING
    sign = "−" if cents < 0 else ""
    return f"{sign}{abs(cents) // 100:,}.{abs(cents) % 100:02d}"


def number(value: int | None) -> str:
    """A whole number, or the dash when it is missing."""
    return MISSING if value is None else str(value)


# Letters that Unicode does not take apart, filed where a reader who does not know them looks.
_FILED_AS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "æ": "ae", "œ": "oe", "þ": "th", "ı": "i"})


def collation(text: str) -> tuple[str, str]:
    """A sort key by letters without their accents and case; the text itself decides what is then equal."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return bare.casefold().translate(_FILED_AS), text


def initial(text: str) -> str:
    """The letter under which a name is listed."""
    bare = collation(text.strip())[0]
    return bare[:1].upper() if bare else MISSING
