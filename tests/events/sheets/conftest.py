"""Makers of files: by openpyxl as programs write them, and by hand as no honest program does."""

import io
import zipfile
from collections.abc import Callable, Mapping, Sequence

import openpyxl
import pytest

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"

Parts = Mapping[str, str | bytes]


def _book(rows: Sequence[Sequence[object]] = (), /, **sheets: Sequence[Sequence[object]]) -> bytes:
    """A workbook of one sheet `Sheet`, or of the named sheets in order."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for title, content in (sheets or {"Sheet": rows}).items():
        sheet = book.create_sheet(title)
        for row in content:
            sheet.append(list(row))
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def _parts(sheet_data: str, **more: str) -> dict[str, str | bytes]:
    """The smallest parts of a workbook whose only sheet holds `sheet_data`; `more`: strings, after, styles."""
    links = [("r1", "worksheet", "worksheets/sheet1.xml"), ("r2", "sharedStrings", "sharedStrings.xml")]
    relations = "".join(f'<Relationship Id="{i}" Type="{LINKS}/{k}" Target="{t}"/>' for i, k, t in links)
    strings = more.get("strings", "")
    return {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}"><Relationship Id="r1" Type="{LINKS}/officeDocument"'
        ' Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets>'
        '<sheet name="List" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}">{relations}</Relationships>',
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">{strings}</sst>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{MAIN}">{more.get("before", "")}'
        f"<sheetData>{sheet_data}</sheetData>{more.get('after', '')}</worksheet>",
    }


def _packed(parts: Parts, compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", compression) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


@pytest.fixture
def book() -> Callable[..., bytes]:
    """book(rows) or book(First=rows, Second=rows) -> bytes of a workbook."""
    return _book


@pytest.fixture
def save() -> Callable[[openpyxl.Workbook], bytes]:
    return saved


@pytest.fixture
def parts() -> Callable[..., dict[str, str | bytes]]:
    """parts(sheet_data, strings=…, before=…, after=…) -> the parts of a hand-made workbook by name."""
    return _parts


@pytest.fixture
def packed() -> Callable[..., bytes]:
    """packed(parts) -> the zip container."""
    return _packed
