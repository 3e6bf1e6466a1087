"""Right-to-left text for a renderer that only draws left to right.

reportlab neither shapes nor reorders. Names in Hebrew and Arabic need little of the full algorithms
(Unicode Standard Annex 9 and the Arabic joining rules), and that little is here:

- runs of one direction, the base direction taken from the first strong character;
- Arabic letters replaced by their presentation forms, taken from the Unicode data of the standard library.

Limits, on purpose: no embedding levels beyond one, no explicit direction marks (they are dropped before), and
no reordering of vowel signs as Indic scripts need it: such names are legible but not typographically right.
"""

import re
import unicodedata
from functools import lru_cache

_STRONG_RTL = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_LAM = "\u0644"
_TATWEEL = "\u0640"
_FORM_TAGS = ("isolated", "final", "initial", "medial")


def has_rtl(text: str) -> bool:
    """Whether any letter of the text is written right to left."""
    return _STRONG_RTL.search(text) is not None


@lru_cache(maxsize=4096)
def visual(text: str) -> str:
    """The characters in the order in which they are drawn from left to right, Arabic letters joined."""
    if not has_rtl(text):
        return text
    runs = _runs(_join_arabic(text))
    base_rtl = next((rtl for rtl, _, strong in runs if strong), False)
    drawn = [_mirrored(part) if rtl else part for rtl, part, _ in runs]
    return "".join(reversed(drawn) if base_rtl else drawn)


def _direction(char: str) -> bool | None:
    """True right to left, False left to right (figures too), None for what follows its neighbours."""
    kind = unicodedata.bidirectional(char)
    if kind in ("R", "AL"):
        return True
    if kind in ("L", "EN", "AN"):
        return False
    return None


def _runs(text: str) -> list[tuple[bool, str, bool]]:
    """Runs as (right to left, text, holds a strong character); neutrals between equal sides join them."""
    sides = [_direction(char) for char in text]
    base = next((side for side in sides if side is not None), False)
    resolved: list[bool] = []
    for index, side in enumerate(sides):
        if side is not None:
            resolved.append(side)
            continue
        if unicodedata.combining(text[index]) and resolved:
            resolved.append(resolved[-1])
            continue
        before = resolved[-1] if resolved else base
        after = next((later for later in sides[index + 1 :] if later is not None), base)
        resolved.append(before if before == after else base)
    runs: list[tuple[bool, str, bool]] = []
    for index, (char, rtl) in enumerate(zip(text, resolved, strict=True)):
        strong = sides[index] is not None
        if runs and runs[-1][0] == rtl:
            runs[-1] = (rtl, runs[-1][1] + char, runs[-1][2] or strong)
        else:
            runs.append((rtl, char, strong))
    return runs


def _mirrored(run: str) -> str:
    """A right-to-left run reversed, each mark kept behind its letter and brackets turned."""
    clusters: list[str] = []
    for char in run:
        if unicodedata.combining(char) and clusters:
            clusters[-1] += char
        else:
            clusters.append(_BRACKETS.get(char, char))
    return "".join(reversed(clusters))


_BRACKETS = {"(": ")", ")": "(", "[": "]", "]": "[", "«": "»", "»": "«", "<": ">", ">": "<"}


@lru_cache(maxsize=1)
def _arabic_forms() -> tuple[dict[str, dict[str, str]], dict[str, dict[str, str]]]:
    """(letter → form tag → character, alef after lam → form tag → ligature), read from the Unicode data."""
    letters: dict[str, dict[str, str]] = {}
    lam_alef: dict[str, dict[str, str]] = {}
    for code in (*range(0xFB50, 0xFBFF), *range(0xFE80, 0xFEFD)):
        tag, *parts = unicodedata.decomposition(chr(code)).split() or [""]
        base = "".join(chr(int(part, 16)) for part in parts)
        tag = tag.strip("<>")
        if tag not in _FORM_TAGS:
            continue
        if len(base) == 1:
            letters.setdefault(base, {})[tag] = chr(code)
        elif len(base) == 2 and base[0] == _LAM and code >= 0xFEF5:
            lam_alef.setdefault(base[1], {})[tag] = chr(code)
    return letters, lam_alef


def _join_arabic(text: str) -> str:
    """Each Arabic letter in the form that its neighbours ask for."""
    letters, lam_alef = _arabic_forms()
    out: list[str] = []
    joins_back = False  # whether the letter before reaches out to this one
    index = 0
    while index < len(text):
        char = text[index]
        if unicodedata.combining(char):
            out.append(char)
            index += 1
            continue
        following = _next_letter(text, index)
        ligature = (
            lam_alef.get(following) if char == _LAM and text[index + 1 : index + 2] == following else None
        )
        if ligature:
            out.append(ligature["final" if joins_back else "isolated"])
            joins_back = False
            index += 2
            continue
        forms = letters.get(char, {})
        reaches_on = "initial" in forms and (following == _TATWEEL or "final" in letters.get(following, {}))
        tag = _FORM_TAGS[2 * reaches_on + (joins_back and "final" in forms)]
        out.append(forms.get(tag, char))
        joins_back = reaches_on or char == _TATWEEL
        index += 1
    return "".join(out)


def _next_letter(text: str, index: int) -> str:
    """The next character that is not a mark, or an empty text at the end."""
    return next((char for char in text[index + 1 :] if not unicodedata.combining(char)), "")
