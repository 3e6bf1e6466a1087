"""Tables of percentages by place: one row for each number of places paid. Pure.

A table is a csv whose first column is the number of places and whose further columns are the percentages of
the first place, the second and so on. Each row sums to 100 and never rises; no number of places is skipped.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from types import MappingProxyType

from events.sheets.delimited import read_records
from events.sheets.problems import Problem
from events.sheets.refusal import Limits

LONGEST = 200  # places: more than any division pays
_LIMITS = Limits(columns=LONGEST + 1, rows=LONGEST + 2)


@dataclass(frozen=True, slots=True)
class PlaceTable:
    """Percentages by number of places paid; `source` is said wherever the table is used."""

    name: str
    source: str
    rows: Mapping[int, tuple[Fraction, ...]]

    @property
    def longest(self) -> int:
        """The largest number of places that has a row; 0 for an empty table."""
        return max(self.rows, default=0)


@dataclass(frozen=True, slots=True)
class TableRead:
    """What a file holds: the rows that are sound, and every problem by row and column."""

    rows: Mapping[int, tuple[Fraction, ...]]
    problems: tuple[Problem, ...]


def read_table(data: bytes) -> TableRead:
    """A table from the bytes of a csv. Raises `Refused` where it is no readable csv at all."""
    records = read_records(_said_separator(data), expected=("places",), limits=_LIMITS).grid.rows
    rows: dict[int, tuple[Fraction, ...]] = {}
    problems: list[Problem] = []
    lines: dict[int, int] = {}
    for at, (line, cells) in enumerate(records):
        texts = ["" if cell is None else str(cell).strip() for cell in cells]
        if at == 0 and not texts[0][:1].isdigit():
            continue  # the headings
        found = _places(line, texts[0], lines, problems)
        if found is None:
            continue
        lines[found] = line
        row = _row(line, found, texts[1:], problems)
        if row is not None:
            rows[found] = row
    problems += _gaps(lines)
    if not lines and not problems:
        problems.append(_problem(None, "", "", "The file has no rows.", "Write one row for each number."))
    return TableRead(MappingProxyType(dict(sorted(rows.items()))), tuple(problems))


def _said_separator(data: bytes) -> bytes:
    """A semicolon can only part cells here, whereas a comma may be the decimal mark beside it."""
    body = data.removeprefix(b"\xef\xbb\xbf")
    plain = b"\x00" not in body and not body.startswith(b"sep=")
    return b"sep=;\n" + body if plain and b";" in body else data


def _problem(row: int | None, column: str, value: str, problem: str, mend: str) -> Problem:
    return Problem(row, column, value, problem, mend)


def _places(line: int, text: str, lines: Mapping[int, int], problems: list[Problem]) -> int | None:
    """The number of places of a row; None, with a problem, where it is none or stands twice."""
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text) <= LONGEST:
        mend = f"Write a whole number from 1 to {LONGEST}."
        problems.append(_problem(line, "places", text, "This is no number of places.", mend))
        return None
    if int(text) in lines:
        words = f"This number of places stands in row {lines[int(text)]} already."
        problems.append(_problem(line, "places", text, words, "Keep one of the two rows."))
        return None
    return int(text)


def _row(
    line: int, places: int, texts: Sequence[str], problems: list[Problem]
) -> tuple[Fraction, ...] | None:
    """The percentages of one row; None, with every problem in it, where they do not make a sound row."""
    before = len(problems)
    figures: list[Fraction] = []
    for place, text in enumerate(texts, start=1):
        figure = _percent(text)
        if figure is None or not 0 < figure <= 100:
            words, mend = "This is no percentage.", "Write a figure above 0, as 17.5."
            problems.append(_problem(line, f"place {place}", text, words, mend))
        else:
            figures.append(figure)
            if len(figures) > 1 and figure > figures[-2]:
                words = "This place gets more than the place before it."
                problems.append(_problem(line, f"place {place}", text, words, "Put the larger figure first."))
    if len(problems) > before:
        return None
    return _whole_row(line, places, tuple(figures), problems)


def _whole_row(
    line: int, places: int, figures: tuple[Fraction, ...], problems: list[Problem]
) -> tuple[Fraction, ...] | None:
    if len(figures) != places:
        words = f"The row is for {places} places and has {len(figures)} percentages."
        problems.append(_problem(line, "places", str(places), words, f"Write {places} percentages."))
        return None
    if sum(figures) != 100:
        words, sum_ = "The percentages do not sum to 100.", figure_text(sum(figures, Fraction(0)))
        problems.append(_problem(line, "sum", sum_, words, "Change them until they do."))
        return None
    return figures


def _percent(text: str) -> Fraction | None:
    """17.5, 17,5 or 17.5 %; None for anything else."""
    try:
        number = Decimal(text.removesuffix("%").strip().replace(",", "."))
    except InvalidOperation:
        return None
    return Fraction(number) if number.is_finite() and abs(number) <= 1000 else None


def _gaps(lines: Iterable[int]) -> list[Problem]:
    """Numbers of places without a row: a division of that size would have nothing to go by."""
    held = set(lines)
    return [
        _problem(None, "places", str(places), f"No row is for {places} places.", "Add the row.")
        for places in range(1, max(held, default=0))
        if places not in held
    ]


def figure_text(percent: Fraction) -> str:
    """A percentage as it stands in a csv: 17.5, 100. Every percentage that is read is a decimal."""
    number = Decimal(percent.numerator) / Decimal(percent.denominator)
    return f"{number.normalize():f}"


def stored(rows: Mapping[int, Sequence[Fraction]]) -> dict[str, list[str]]:
    """The rows as plain JSON."""
    return {str(places): [figure_text(each) for each in row] for places, row in rows.items()}


def restored(rows: Mapping[str, Sequence[str]]) -> dict[int, tuple[Fraction, ...]]:
    """What `stored` made, back."""
    return {int(places): tuple(Fraction(each) for each in row) for places, row in rows.items()}
