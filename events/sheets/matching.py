"""Which column holds which field: by its heading, and by what stands under it."""

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cached_property
from itertools import islice

from events.sheets.cells import Cell, is_blank, plain, squeezed
from events.sheets.dates import year
from events.sheets.headings import without_remark
from events.sheets.numbers import whole
from events.sheets.values import (
    BadValue,
    class_of_play,
    date,
    email,
    gender,
    integer,
    member_number,
    membership_status,
    moment,
    money,
    name,
    phone,
    rating,
    yes_no,
)

_LEAST_SCORE = 35.0
_SAMPLED = 20
# One word of these alone says too little inside a longer heading ("team name", "start date").
_TOO_GENERAL = frozenset(
    (
        "name",
        "nom",
        "number",
        "date",
        "contact",
        "class",
        "phone",
        "member",
        "by",
        "first",
        "last",
        "land",
        "ort",
    )
)
_DIVISION_CODE = re.compile(r"[FM](?:PO|[APJ]\d{1,2})\Z")


@dataclass(frozen=True)
class Field:
    """One thing a reader can take from a column.

    `kind` names what stands in the cells (a key of `LOOKS`, or any other word where no look helps);
    a `full_name` column holds "Family, Given" or "Given Family". `synonyms` are other headings for it.
    """

    key: str
    label: str
    synonyms: tuple[str, ...] = ()
    kind: str = "text"
    required: bool = False

    @cached_property
    def words(self) -> tuple[str, ...]:
        """Label and synonyms in plain words."""
        return tuple(dict.fromkeys(plain(word) for word in (self.label, *self.synonyms)))


def vocabulary(fields: Collection[Field]) -> frozenset[str]:
    """All known headings in squeezed form, for `reading.read_table(expected=…)`."""
    return frozenset(word.replace(" ", "") for field in fields for word in field.words)


def guess(
    headings: Sequence[str], samples: Sequence[Sequence[Cell]], fields: Sequence[Field]
) -> dict[str, int | None]:
    """Field key -> column index or None; no column twice. `samples`: the cells of some rows.

    Best pairs first; equal scores go to the earlier field, then to the earlier column.
    """
    known = vocabulary(fields)
    columns = [_Column.made(heading, samples, index, known) for index, heading in enumerate(headings)]
    pairs = sorted(
        (-score, order, index)
        for order, field in enumerate(fields)
        for index, column in enumerate(columns)
        if (score := _score(field, column)) >= _LEAST_SCORE
    )
    result: dict[str, int | None] = {field.key: None for field in fields}
    taken: set[int] = set()
    for _, order, index in pairs:
        key = fields[order].key
        if result[key] is None and index not in taken:
            result[key] = index
            taken.add(index)
    return result


@dataclass(frozen=True)
class _Column:
    """A heading made comparable (`key`, `bare` without parentheses, `words`) and some filled cells under it.

    `familiar`: some field knows exactly this heading, so that nobody needs to look for slips of the pen.
    """

    key: str
    bare: str
    words: frozenset[str]
    familiar: bool
    cells: tuple[Cell, ...]

    @classmethod
    def made(
        cls, heading: str, samples: Sequence[Sequence[Cell]], index: int, known: Collection[str]
    ) -> "_Column":
        filled = (row[index] for row in samples if index < len(row) and not is_blank(row[index]))
        key, bare = squeezed(heading), squeezed(without_remark(heading))
        words = frozenset(plain(heading).split())
        return cls(key, bare, words, key in known or bare in known, tuple(islice(filled, _SAMPLED)))


def _score(field: Field, column: _Column) -> float:
    """0 to about 105: how well the heading and the cells under it fit the field."""
    if field.kind == "member_number" and _counts_rows(column.cells):
        return 0.0
    by_heading = _heading_score(field, column)
    if not column.cells:
        return by_heading
    if by_heading == 0:
        telling = _TELLING.get(field.kind)
        # Years stand for many things: they tell a birth year only where nothing is written above them.
        if column.familiar or telling is None or (field.kind == "year" and column.key):
            return 0.0
        return 44.0 if _share(telling, column.cells) >= 0.8 else 0.0
    look = LOOKS.get(field.kind)
    share = 0.5 if look is None else _share(look, column.cells)
    return by_heading + 5 if share >= 0.8 else by_heading - 50 if share < 0.3 else by_heading


def _heading_score(field: Field, column: _Column) -> float:
    """100 for a known heading, less for one that contains or nearly spells one, 0 for a stranger."""
    if not column.key:
        return 0.0
    best = 0.0
    for rank, word in enumerate(field.words):
        known = word.replace(" ", "")
        if column.key == known:
            return 100 - rank / 10
        if column.bare == known:
            best = max(best, 95 - rank / 10)
        parts = set(word.split())
        if parts <= column.words and not (len(parts) == 1 and word in _TOO_GENERAL):
            best = max(best, 60 + 20 * len(parts) / len(column.words))
        if not column.familiar:
            best = max(best, _near(column.key, known))
    return best


def _near(key: str, known: str) -> float:
    """A slip of the pen: at least five letters, nearly all of them in order."""
    if min(len(key), len(known)) < 5 or abs(len(key) - len(known)) > 2:
        return 0.0
    matcher = SequenceMatcher(None, key, known, autojunk=False)
    if matcher.real_quick_ratio() < 0.86 or matcher.quick_ratio() < 0.86:
        return 0.0
    likeness = matcher.ratio()
    return 55 * likeness if likeness >= 0.86 else 0.0


def _counts_rows(cells: Sequence[Cell]) -> bool:
    """1, 2, 3 …: the list's own running numbers, often headed `#`, are nobody's member numbers."""
    numbers = [whole(cell) for cell in cells]
    return len(numbers) > 1 and numbers == list(range(1, len(numbers) + 1))


def _share(look: Callable[[Cell], object], cells: Sequence[Cell]) -> float:
    return sum(_passes(look, cell) for cell in cells) / len(cells)


def _passes(look: Callable[[Cell], object], cell: Cell) -> bool:
    try:
        return look(cell) not in (None, False)
    except BadValue:
        return False


def _is_code(cell: Cell) -> bool:
    return isinstance(cell, str) and _DIVISION_CODE.match(squeezed(cell).upper()) is not None


def _is_phone_like(cell: Cell) -> bool:
    """More than a bare number, which may be anything, and no date."""
    marked = isinstance(cell, str) and any(mark in cell for mark in "+-/( ")
    return marked and phone(cell) is not None and not _passes(_dated, cell)


def _dated(cell: Cell) -> bool:
    """A date, or a text that is one in either order."""
    try:
        return date(cell) is not None
    except BadValue as bad:
        return bad.unclear


def _timed(cell: Cell) -> bool:
    try:
        return moment(cell) is not None
    except BadValue as bad:
        return bad.unclear


def _answered(converter: Callable[[Cell], object]) -> Callable[[Cell], bool]:
    """False is an answer too."""
    return lambda cell: converter(cell) is not None


# What the cells of a column of each kind look like; a look may raise BadValue for "no".
LOOKS: dict[str, Callable[[Cell], object]] = {
    "full_name": name,
    "name": name,
    "member_number": member_number,
    "year": year,
    "division": _is_code,
    "rating": rating,
    "date": _dated,
    "moment": _timed,
    "integer": _answered(integer),
    "money": _answered(money),
    "gender": gender,
    "class": class_of_play,
    "membership": _answered(membership_status),
    "yes_no": _answered(yes_no),
    "email": email,
    "phone": phone,
}

# Looks that tell the field even under a strange or blank heading.
_TELLING: dict[str, Callable[[Cell], object]] = {
    "email": email,
    "division": _is_code,
    "phone": _is_phone_like,
    "year": year,
}
