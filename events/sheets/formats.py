"""Which cells of a workbook are dates: number formats and serial numbers, made into values."""

import re
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from defusedxml import ElementTree
from defusedxml.common import DefusedXmlException
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils.datetime import from_excel

from events.sheets.cells import Cell
from events.sheets.refusal import damaged

_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
_DIGITS_EXACT_IN_A_FLOAT = 15


def local(tag: str) -> str:
    """The element name without namespace."""
    return tag.rpartition("}")[2]


def elements(part: bytes, where: str) -> "Iterator[tuple[str, dict[str, str]]]":
    """Every element of a small part in document order as (name, attributes by local name).

    Raises `Refused` when the part is not well-formed or declares anything.
    """
    try:
        root = ElementTree.fromstring(part, forbid_dtd=True)
    except (ElementTree.ParseError, DefusedXmlException, ValueError, LookupError) as error:
        raise damaged(f"its part {where[:80]} cannot be read") from error
    for element in root.iter():
        yield local(str(element.tag)), {local(key): value for key, value in element.attrib.items()}


def date_styles(part: bytes) -> frozenset[str]:
    """The cell style numbers (as written in a cell's `s`) whose number format shows a date or time.

    Lengths of time ([h]:mm) stay numbers.
    """
    formats = {str(key): pattern for key, pattern in BUILTIN_FORMATS.items()}
    dates: set[str] = set()
    position = -1
    inside = False
    for name, attributes in elements(part, "styles"):
        if name == "numFmt":
            formats[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif name in ("cellXfs", "cellStyleXfs", "cellStyles", "dxfs"):
            inside = name == "cellXfs"
        elif name == "xf" and inside:
            position += 1
            pattern = formats.get(attributes.get("numFmtId", "0"), "General")
            if is_date_format(pattern) and not is_timedelta_format(pattern):
                dates.add(str(position))
    return frozenset(dates)


def number(raw: str) -> int | Decimal | str:
    """The number a cell was written with: whole numbers as int, others as the shortest exact Decimal.

    Spreadsheets store binary fractions (45.600000000000001 for 45.6). Text that is no number stays text.
    """
    if raw.isdigit() and raw.isascii() and len(raw) <= _DIGITS_EXACT_IN_A_FLOAT:
        return int(raw)
    try:
        value = float(raw)
    except ValueError:
        return raw
    if value - value != 0:  # infinite or not a number
        return raw
    return int(value) if value.is_integer() else Decimal(repr(value))


def moment(value: int | Decimal | str, epoch: datetime) -> Cell:
    """A serial number in a date format: date, datetime, or the time of day as text `09:30`.

    Serial numbers outside the calendar stay numbers.
    """
    if isinstance(value, str):
        return value
    try:
        found = from_excel(float(value), epoch)
    except (ValueError, OverflowError, TypeError):
        return value
    return settled(found)


def settled(found: datetime | date | time | timedelta | None) -> date | datetime | str | None:
    """Midnight means that only a date was meant; a time of day without a date becomes text."""
    if isinstance(found, datetime):
        found = (found + timedelta(microseconds=500_000)).replace(microsecond=0)
        return found.date() if found.time() == time() else found
    if isinstance(found, time):
        return found.strftime("%H:%M")
    return str(found) if isinstance(found, timedelta) else found


def unescaped(text: str) -> str:
    """`_x000D_` is how workbooks write a character that XML cannot carry."""
    if "_x" not in text:
        return text
    text = _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text)
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")  # halves of pairs meet again
