"""Reading typed and imported hole scores. Pure; what is not understood is named, never guessed.

Two ways of typing a line:

- a run of digits, one hole each, as the card room types it: `334` is 3, 3, 4. A dot takes two digits:
  `33.104` is 3, 3, 10, 4. A hyphen or underscore leaves a hole blank: `3-4`.
- a list, as soon as a space, comma, semicolon, bar or tab occurs: `3 3 10`, `3,,4`. Between commas,
  semicolons, bars or tabs an empty place is a blank hole; between spaces blanks are written `-`.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from scoring.cards.arithmetic import ImpossibleThrows, check_throws

BLANKS = frozenset({"", "-", "_", "–", "—", "−"})
_LIST = re.compile(r"[\s,;|]")
_HARD = re.compile(r"[,;|\t]")
_STEP = re.compile(r"\.(?P<two>[0-9]{2})|(?P<one>[0-9])|(?P<blank>[-_–—−])")


class UnreadableThrows(ValueError):
    """Typed scores that cannot be read; the message names the place, counted from 1."""


@dataclass(frozen=True)
class CellProblem:
    """A cell of an imported row that cannot be a score: index from 0, the text found, what is wrong."""

    index: int
    text: str
    sentence: str


@dataclass(frozen=True)
class RowReading:
    """An imported row: one entry per hole (None: blank, or not readable and then named in `problems`)."""

    throws: tuple[int | None, ...]
    problems: tuple[CellProblem, ...]


def typed(text: str) -> tuple[int | None, ...]:
    """Hole scores from a typed line, in the order typed; raises `UnreadableThrows`."""
    text = text.strip(" \r\n")
    if not text:
        return ()
    return _listed(text) if _LIST.search(text) else _run(text)


def typed_cell(text: str, absent: int) -> int | None:
    """One hole's score as it is typed into its own cell: `4`, `.10` or `10`; blank or `-`: None; `A` (absent)
    is the score given as `absent`. Raises `UnreadableThrows`."""
    text = text.strip()
    if text in BLANKS:
        return None
    if text.casefold() == "a":
        return absent
    digits = text.removeprefix(".")
    if not re.fullmatch(r"[0-9]{1,9}", digits):
        raise UnreadableThrows(f"“{text}” is not a score.")
    try:
        return check_throws(int(digits))
    except ImpossibleThrows as refused:
        raise UnreadableThrows(str(refused)) from refused


def typed_penalties(text: str, labels: Sequence[str]) -> tuple[int, ...]:
    """Penalty throws per hole from `15 8×2` (1 on hole 15, 2 on hole 8); raises `UnreadableThrows`.

    Labels are those of the layout and may hold letters; × may be written x, * or :.
    """
    counts = [0] * len(labels)
    places = {label.casefold(): index for index, label in enumerate(labels)}
    for token in text.replace(",", " ").replace(";", " ").split():
        label, count = token.casefold(), 1
        if label not in places:
            split = re.fullmatch(r"(?P<label>.+)[x×*:](?P<count>[0-9]{1,2})", label)
            if split is None or split["label"] not in places:
                raise UnreadableThrows(f"Penalty “{token}” names no hole; write 15, or 15×2 for two.")
            label, count = split["label"], int(split["count"])
        counts[places[label]] += count
    return tuple(counts)


def penalty_text(penalties: Sequence[int], labels: Sequence[str]) -> str:
    """The text that `typed_penalties` reads: `15 8×2`; empty: none."""
    written = [
        label if count == 1 else f"{label}×{count}"
        for label, count in zip(labels, penalties, strict=False)
        if count
    ]
    return " ".join(written)


def score_row(cells: Sequence[object], n_holes: int) -> RowReading:
    """Hole scores of one row of an imported table; every problem is named, none hides another.

    Cells may be int, float without a fraction, text or None. Missing cells at the end are blank holes;
    cells beyond the last hole are a problem unless they are blank.
    """
    throws: list[int | None] = []
    problems: list[CellProblem] = []
    for index, cell in enumerate(cells):
        shown = "" if cell is None else str(cell).strip()
        try:
            value = _cell(cell)
            if index >= n_holes and value is not None:
                raise UnreadableThrows(f"There is no hole {index + 1}: the layout has {n_holes}.")
        except (UnreadableThrows, ImpossibleThrows) as refused:
            problems.append(CellProblem(index, shown, str(refused)))
            value = None
        throws.append(value)
    padded = [*throws, *[None] * n_holes][:n_holes]
    return RowReading(tuple(padded), tuple(problems))


def _run(text: str) -> tuple[int | None, ...]:
    found: list[int | None] = []
    at = 0
    while at < len(text):
        step = _STEP.match(text, at)
        place = f"place {len(found) + 1}"
        if step is None:
            raise UnreadableThrows(f"Cannot read {text[at]!r} at {place}.")
        digits = step["two"] or step["one"]
        found.append(None if digits is None else _throws(digits, place))
        at = step.end()
    return tuple(found)


def _listed(text: str) -> tuple[int | None, ...]:
    tokens = _HARD.split(text) if _HARD.search(text) else text.split()
    found: list[int | None] = []
    for number, token in enumerate((token.strip() for token in tokens), start=1):
        if token in BLANKS:
            found.append(None)
        else:
            found.append(_throws(token.removeprefix("."), f"place {number}"))
    return tuple(found)


def _cell(cell: object) -> int | None:
    if cell is None:
        return None
    if isinstance(cell, bool):
        raise UnreadableThrows(f"{cell} is not a score.")
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    text = str(cell).strip()
    if text in BLANKS:
        return None
    # Spreadsheets store "3" as text and 3 as 3.0; both are the score 3.
    whole = re.fullmatch(r"([0-9]+)(?:[.,]0+)?", text)
    if whole is None:
        raise UnreadableThrows(f"“{text}” is not a whole number of throws.")
    return check_throws(int(whole[1][:9]))


def _throws(digits: str, place: str) -> int:
    if not re.fullmatch(r"[0-9]{1,9}", digits):
        raise UnreadableThrows(f"“{digits}” at {place} is not a score.")
    try:
        return check_throws(int(digits))
    except ImpossibleThrows as refused:
        raise UnreadableThrows(f"At {place}: {refused}") from refused
