"""Separated text (.csv, .tsv and their relatives): alphabet, separator, records."""

import csv
import io
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from events.sheets.cells import Cell, is_blank
from events.sheets.headings import recognised
from events.sheets.refusal import Limits, Refused
from events.sheets.sheetreader import Grid, too_many_rows

SEPARATORS = (",", ";", "\t", "|")

_SAMPLE_RECORDS = 60
_SEP_LINE = re.compile(r"\Asep=(.)\r?\n?", re.I)
_KEPT_AS_TEXT = re.compile(r'\A="([^"]*)"\Z')
_BINARY = re.compile("[\x00-\x08\x0e-\x1a\x1c-\x1f]")
_GUESSED_ALPHABET = (
    "The file does not say which alphabet it is written in; it was read as Western European."
    " Check names with accents; if they are wrong, save the file as CSV UTF-8."
)


@dataclass(frozen=True)
class Records:
    """The filled records (numbered as a spreadsheet program shows them) and remarks for the director."""

    grid: Grid
    notes: tuple[str, ...]


def read_records(data: bytes, *, expected: Collection[str], limits: Limits) -> Records:
    """All filled records of the file; raises `Refused`."""
    text, notes = _decoded(data)
    text = text.replace("\r\r\n", "\r\n")  # what a text-mode double conversion leaves
    given = _SEP_LINE.match(text)
    if given and given[1] in SEPARATORS:
        text, separator = text[given.end() :], given[1]
    else:
        separator = _separator(text, expected)
    return Records(_grid(text, separator, limits), notes)


def _decoded(data: bytes) -> tuple[str, tuple[str, ...]]:
    """By byte-order mark, else UTF-16 by its zero bytes, else UTF-8, else cp1252 with a remark."""
    notes: tuple[str, ...] = ()
    try:
        text = data.decode(_alphabet(data))
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
        notes = (_GUESSED_ALPHABET,)
    if len(_BINARY.findall(text[:200_000])) > 0 or (notes and text.count("�") > len(text) // 100):
        raise Refused("The file is not a table but binary data: export the list as .xlsx or .csv.")
    return text, notes


def _alphabet(data: bytes) -> str:
    if data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return "utf-32"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    head = data[:2000]
    if b"\x00" in head:
        # Latin text in UTF-16 without a mark: every other byte is zero.
        if head[1::2].count(0) > len(head) // 4:
            return "utf-16-le"
        if head[0::2].count(0) > len(head) // 4:
            return "utf-16-be"
    return "utf-8-sig"


def _separator(text: str, expected: Collection[str]) -> str:
    """The separator whose records know most headings; then the one that cuts them most evenly."""
    sample = text[:100_000]
    best, best_score = ",", (0, 0.0)
    for separator in SEPARATORS:
        records = _first_records(sample, separator)
        known = max((recognised(record, expected) for record in records), default=0)
        score = (known, _evenness(records))
        if score > best_score:
            best, best_score = separator, score
    return best


def _first_records(sample: str, separator: str) -> list[list[str]]:
    try:
        reader = csv.reader(io.StringIO(sample, newline=""), delimiter=separator)
        return [record for record, _ in zip(reader, range(_SAMPLE_RECORDS), strict=False) if record]
    except csv.Error:
        return []


def _evenness(records: Sequence[Sequence[str]]) -> float:
    """Share of records of the commonest width above 1, slightly in favour of wide ones."""
    widths = [len(record) for record in records if len(record) > 1]
    if not widths:
        return 0.0
    common = max(sorted(set(widths)), key=widths.count)
    return widths.count(common) / len(records) + min(common, 30) / 1000


def _grid(text: str, separator: str, limits: Limits) -> Grid:
    grid = Grid()
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    width = number = 0
    last: list[str] = []
    try:
        for number, record in enumerate(reader, start=1):
            last = record
            _refuse_swallowed(number, record, separator, width)
            cells: list[Cell] = [_cell(value) for value in record]
            while cells and cells[-1] is None:
                cells.pop()
            if not cells:
                continue
            _check_size(number, cells, grid, limits)
            width = max(width, len(cells))
            grid.rows.append((number, cells))
    except csv.Error as error:
        raise _unclosed(number + 1) from error
    if last and "\n" in last[-1].replace("\r", "\n") and text.count('"') % 2:
        raise _unclosed(number)
    return grid


def _cell(value: str) -> str | None:
    if is_blank(value):
        return None
    kept = _KEPT_AS_TEXT.match(value)  # ="00412": how a spreadsheet is told to keep the zeros
    return kept[1] if kept else value


def _check_size(number: int, cells: list[Cell], grid: Grid, limits: Limits) -> None:
    if len(cells) > limits.columns:
        raise Refused(
            f"Row {number} has {len(cells):,} columns, more than {limits.columns}: an entry list has fewer."
        )
    if len(grid.rows) >= limits.rows:
        raise too_many_rows(limits)


def _refuse_swallowed(number: int, record: list[str], separator: str, width: int) -> None:
    """A quotation mark that is opened and not closed swallows the rows after it into one cell."""
    for value in record:
        lines = value.splitlines() if "\n" in value or "\r" in value else ()
        inner = lines[1:-1]
        if len(lines) > 40 or (inner and width > 2 and all(x.count(separator) >= width - 2 for x in inner)):
            raise _unclosed(number)


def _unclosed(number: int) -> Refused:
    return Refused(
        f"In row {number} a quotation mark is opened and never closed, so the rows after it cannot be told"
        " apart: delete or close it."
    )
