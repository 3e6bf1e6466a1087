"""A workbook's sheets as rows of plain values, read by streaming.

Openpyxl's own reader is not used for reading: it gives no sign of a formula without a stored result, fills
every gap up to the row a file claims, and gives up on a fault in parts that no import needs (validations,
conditional formats, styles). It stays the reference of the tests, and it writes what we export. Only the
values are read: macros, links to other workbooks, pictures and formulas are never looked at.
"""

import posixpath
from dataclasses import dataclass
from datetime import datetime

from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH

from events.sheets import formats
from events.sheets.cells import clean
from events.sheets.package import Package
from events.sheets.refusal import Limits, Refused, damaged
from events.sheets.sheetreader import Grid, SheetReader
from events.sheets.xmlreader import run, shared_strings


@dataclass(frozen=True)
class Sheet:
    """One worksheet of the workbook."""

    name: str
    part: str
    hidden: bool


class Workbook:
    """Sheets in the workbook's order, read one at a time."""

    def __init__(self, package: Package, limits: Limits) -> None:
        self._package = package
        self._limits = limits
        book = _book_part(package)
        links = _links(package, book)
        self._epoch, self.sheets = _outline(package, book, links)
        parts = dict(links.values())
        styles = parts.get("styles", "")
        self._dates = formats.date_styles(package.read(styles)) if styles in package else frozenset[str]()
        strings = parts.get("sharedStrings", "")
        self._strings = shared_strings(package, strings, limits) if strings in package else []

    def grid(self, sheet: Sheet, *, at_most: int | None = None) -> Grid:
        """The filled rows, or only the first `at_most` of them; raises `Refused`."""
        reader = SheetReader(self._strings, self._dates, self._epoch, self._limits, at_most)
        run(self._package, sheet.part, reader)
        return reader.grid


def _book_part(package: Package) -> str:
    for name, attributes in formats.elements(package.read("_rels/.rels"), "_rels/.rels"):
        if name == "Relationship" and attributes.get("Type", "").endswith("/officeDocument"):
            return attributes.get("Target", "").lstrip("/")
    raise damaged("it names no workbook part")


def _links(package: Package, book: str) -> dict[str, tuple[str, str]]:
    """Relationship id -> (kind, part name) of the workbook's own parts; links to elsewhere are left out."""
    folder, name = posixpath.split(book)
    where = posixpath.join(folder, "_rels", f"{name}.rels")
    found: dict[str, tuple[str, str]] = {}
    for tag, attributes in formats.elements(package.read(where), where):
        if tag == "Relationship" and attributes.get("TargetMode", "Internal") == "Internal":
            target = attributes.get("Target", "").replace("\\", "/")
            part = target.lstrip("/") if target.startswith("/") else posixpath.join(folder, target)
            kind = attributes.get("Type", "").rpartition("/")[2]
            found[attributes.get("Id", "")] = (kind, posixpath.normpath(part))
    return found


def _outline(
    package: Package, book: str, links: dict[str, tuple[str, str]]
) -> tuple[datetime, tuple[Sheet, ...]]:
    """The day that serial numbers count from, and the worksheets (charts and macro sheets left out)."""
    epoch = WINDOWS_EPOCH
    sheets: list[Sheet] = []
    for tag, attributes in formats.elements(package.read(book), book):
        if tag == "workbookPr" and attributes.get("date1904") in ("1", "true"):
            epoch = MAC_EPOCH
        elif tag == "sheet":
            kind, part = links.get(attributes.get("id", ""), ("", ""))
            if kind == "worksheet" and part in package:
                hidden = attributes.get("state", "visible") != "visible"
                sheets.append(Sheet(clean(attributes.get("name", "")), part, hidden))
    if not sheets:
        raise Refused("The workbook holds no sheet with cells.")
    return epoch, tuple(sheets)
