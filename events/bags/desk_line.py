"""One line typed or sent at the equipment desk: a mass, letters for what was seen, or a piece to jump to. Pure.

"175.3" is a reading; "175.3 fm" says besides that the piece was looked over and is marked; "c" that it is cracked;
"#7" or "7." goes to piece 7. A keyboard-type scale sends "+ 175.3 g" and Enter.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from events.sheets.cells import clean

# Letter → (what, answer, words). "f" is everything about the condition at once.
LETTERS: Mapping[str, tuple[str, bool, str]] = {
    "c": ("cracked", True, "crack"),
    "h": ("holed", True, "hole"),
    "k": ("carved", True, "carved"),
    "a": ("added_material", True, "added material"),
    "s": ("over_sanded", True, "sanded too far"),
    "o": ("out_of_shape", True, "out of shape"),
    "l": ("lights_or_tape", True, "lights or tape"),
    "m": ("marked", True, "marked"),
    "n": ("marked", False, "no mark"),
}
FINE = "f"
CONDITION = ("cracked", "holed", "carved", "added_material", "over_sanded", "out_of_shape", "lights_or_tape")

_JUMP = re.compile(r"#\s*(\d{1,3})\Z|(\d{1,3})\s*[#.]\Z")
_LINE = re.compile(r"\+?\s*(0*\d{1,3}(?:[.,]\d{1,3})?)?\s*(?:g(?![a-z]))?\s*([a-z\s]*)\Z")


class BadLine(ValueError):
    """The line says nothing that can be kept; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class DeskLine:
    """`jump`: the number of a piece to go to. Otherwise a reading in grams, answers about what was seen, or both."""

    jump: int | None = None
    reading_g: Decimal | None = None
    seen: Mapping[str, bool] | None = None


def read_line(text: str) -> DeskLine:
    """What was typed. Raises BadLine for anything that cannot be understood whole."""
    words = clean(text).casefold()
    jump = _JUMP.match(words)
    if jump:
        return DeskLine(jump=int(jump[1] or jump[2]))
    found = _LINE.match(words)
    if not words or found is None:
        raise BadLine(f"“{words[:20]}” is no reading: type grams, as 175.3, and letters for what was seen.")
    reading = Decimal(found[1].replace(",", ".")) if found[1] else None
    seen = _seen(found[2])
    return DeskLine(None, reading, seen or None)


def _seen(letters: str) -> dict[str, bool]:
    answers: dict[str, bool] = {}
    typed = letters.replace(" ", "")
    if "m" in typed and "n" in typed:
        raise BadLine("Marked and no mark at once: type m or n.")
    if FINE in typed:
        answers = dict.fromkeys(CONDITION, False)
    for letter in typed.replace(FINE, ""):
        if letter not in LETTERS:
            raise BadLine(f"The letter {letter} says nothing here.")
        name, answer, _ = LETTERS[letter]
        answers[name] = answer
    return answers
