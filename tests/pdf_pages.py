"""Looks at a PDF as a reader would: its pages, their words with places, what collides and what leaves the paper."""

import io
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import pdfplumber


@dataclass(frozen=True)
class Sheet:
    """One page; words hold their text, place and size, lines and rects their weight."""

    width: float
    height: float
    words: list[dict[str, Any]]
    chars: list[dict[str, Any]]
    strokes: list[float]

    @property
    def text(self) -> str:
        return " ".join(word["text"] for word in self.words)

    def inside(self, x0: float, top: float, x1: float, bottom: float) -> str:
        """The characters whose middle lies in the box, in reading order and without spaces."""
        found = [
            char
            for char in self.chars
            if x0 <= (char["x0"] + char["x1"]) / 2 <= x1
            and top <= (char["top"] + char["bottom"]) / 2 <= bottom
        ]
        return "".join(char["text"] for char in found if not char["text"].isspace())


def read(pdf: bytes) -> list[Sheet]:
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return [
            Sheet(
                float(page.width),
                float(page.height),
                page.extract_words(x_tolerance=1.5, keep_blank_chars=False, extra_attrs=["size"]),
                page.chars,
                [float(item["linewidth"]) for item in (*page.lines, *page.rects) if item["stroke"]],
            )
            for page in document.pages
        ]


def collisions(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of words whose ink would touch; the body of a letter is taken as the middle of its line."""
    bodies = [_body(word) for word in sheet.words]
    return [
        (first["text"], second["text"])
        for (first, a), (second, b) in combinations(zip(sheet.words, bodies, strict=True), 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > 0.3 and min(a[3], b[3]) - max(a[1], b[1]) > 0.3
    ]


def _body(word: dict[str, Any]) -> tuple[float, float, float, float]:
    middle = (word["top"] + word["bottom"]) / 2
    half = word["size"] * 0.32
    return word["x0"], middle - half, word["x1"], middle + half


def strays(sheet: Sheet, margin: float = 18) -> list[str]:
    """Words that come closer to the paper's edge than a printer prints."""
    return [
        word["text"]
        for word in sheet.words
        if word["x0"] < margin
        or word["top"] < margin
        or word["x1"] > sheet.width - margin
        or word["bottom"] > sheet.height - margin
    ]
