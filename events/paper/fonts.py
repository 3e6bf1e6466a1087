"""The faces of all paper, and which of them draws which character.

Three styles: BODY and BOLD for everything that is read or counted, HEAD (condensed) for headings, clocks and
division codes. Each style is a chain of faces; every character is drawn by the first face that has it, so a
name in any common script prints in full. Faces are loaded only when a character needs them: the largest
ones (Chinese and Japanese, Korean) cost nothing in a document without such names.
"""

import enum
import re
import threading
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from events.paper.rtl import visual

FOLDER = Path(__file__).parent / "fonts"
UNKNOWN = "?"  # drawn for a character that no face has; never an empty box


class Style(enum.Enum):
    """What a text is for; the face follows from it."""

    BODY = "body"
    BOLD = "bold"
    HEAD = "head"


@dataclass(frozen=True)
class Face:
    """One font file. `embolden` thickens a regular face that stands in for a bold one."""

    file: str
    embolden: bool = False

    @property
    def name(self) -> str:
        return f"Starthorn-{self.file.removesuffix('.ttf')}"


@dataclass(frozen=True)
class Run:
    """Characters, in drawing order, that one face draws."""

    face: Face
    text: str


def _fallbacks(weight: str, *, embolden: bool) -> tuple[Face, ...]:
    scripts = ("", "Hebrew", "Arabic", "Thai")
    noto = tuple(Face(f"NotoSans{script}-{weight}.ttf") for script in scripts)
    return (
        *noto,
        Face("NotoSansKR-Medium-Hangul.ttf", embolden),
        Face("DroidSansFallbackFull.ttf", embolden),
    )


_CHAINS: dict[Style, tuple[Face, ...]] = {
    Style.BODY: (Face("AtkinsonHyperlegibleNextTabular-Regular.ttf"), *_fallbacks("Regular", embolden=False)),
    Style.BOLD: (Face("AtkinsonHyperlegibleNextTabular-Bold.ttf"), *_fallbacks("Bold", embolden=True)),
    Style.HEAD: (Face("BarlowCondensedTabular-SemiBold.ttf"), *_fallbacks("Bold", embolden=True)),
}
_WORD = re.compile(r"\s+|\S+")
_lock = threading.Lock()  # the server draws in several threads and reportlab's registry is shared


@lru_cache(maxsize=32)
def load(face: Face) -> TTFont:
    """The face, registered with reportlab once for the life of the process."""
    with _lock:
        if face.name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(face.name, str(FOLDER / face.file)))
        font = pdfmetrics.getFont(face.name)
    assert isinstance(font, TTFont)
    return font


def clean(text: str) -> str:
    """The text composed (NFC), in one line, without control and direction marks."""
    composed = unicodedata.normalize("NFC", " ".join(text.split()))
    return "".join(char for char in composed if not _is_mark_of_control(char))


def _is_mark_of_control(char: str) -> bool:
    return unicodedata.category(char) in ("Cc", "Cf", "Cs") or "VARIATION SELECTOR" in unicodedata.name(
        char, ""
    )


@lru_cache(maxsize=8192)
def _face_for(char: str, style: Style) -> Face | None:
    return next((face for face in _CHAINS[style] if ord(char) in load(face).face.charToGlyph), None)


@lru_cache(maxsize=8192)
def runs(text: str, style: Style) -> tuple[Run, ...]:
    """The text split into runs of one face each, in drawing order.

    A word is drawn by one face where one has all of it, so that no letter stands out in another design.
    """
    found: list[Run] = []
    for word in _WORD.findall(visual(clean(text))):
        whole = next((face for face in _CHAINS[style] if _draws(face, word)), None)
        for original in word:
            face = whole or _face_for(original, style)
            char = original if face else UNKNOWN
            face = face or _CHAINS[style][0]
            if found and found[-1].face == face:
                found[-1] = Run(face, found[-1].text + char)
            else:
                found.append(Run(face, char))
    return tuple(found)


def _draws(face: Face, word: str) -> bool:
    glyphs = load(face).face.charToGlyph
    return all(ord(char) in glyphs for char in word)


@lru_cache(maxsize=16384)
def _width_per_point(text: str, style: Style) -> float:
    return sum(float(load(run.face).stringWidth(run.text, 1.0)) for run in runs(text, style))


def width(text: str, style: Style, size: float) -> float:
    """How wide the text is when drawn, in points."""
    return _width_per_point(text, style) * size
