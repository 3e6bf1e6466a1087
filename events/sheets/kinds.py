"""What a file is, by its first bytes and not by its name."""

import re
from typing import Literal

from events.sheets.refusal import Refused

Kind = Literal["workbook", "text"]

_OLE2 = bytes.fromhex("d0cf11e0a1b11ae1")
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
_FOREIGN: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"{\\rtf", "a text document (RTF)"),
    (b"\x1f\x8b", "a packed archive"),
    (b"7z\xbc\xaf", "a packed archive"),
    (b"Rar!", "a packed archive"),
    (b"BZh", "a packed archive"),
    (b"\xfd7zXZ", "a packed archive"),
    (b"\x7fELF", "a program"),
    (b"MZ\x90", "a program"),
    (b"SQLite format 3", "a database"),
)
_MARKUP = re.compile(rb"\s*<(?:!doctype\s|\?xml\b|(?:html|head|body|meta|table|style|div)\b|!--)", re.I)
_JSON = re.compile(rb"\s*(?:\{\s*\"|\[\s*[\[{])")


def kind_of(name: str, data: bytes) -> Kind:
    """`workbook` for a zip container, `text` for what may be separated text; raises `Refused` otherwise."""
    if not data.strip():
        raise Refused("The file is empty.")
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "workbook"
    if data.startswith(_OLE2):
        raise _old_container(data)
    for mark, what in _FOREIGN:
        if data.startswith(mark):
            raise Refused(f"The file is {what}, whatever its name says: export the list as .xlsx or .csv.")
    _refuse_markup(name, data)
    return "text"


def _old_container(data: bytes) -> Refused:
    if _ENCRYPTED in data:
        return Refused("The workbook is locked with a password: remove the password and save it again.")
    return Refused("The file is an old binary workbook (.xls): open it and save it as .xlsx or .csv.")


def _refuse_markup(name: str, data: bytes) -> None:
    """Web pages and XML exports often carry a spreadsheet's suffix."""
    head = data[:4096]
    for mark in _MARKS:
        head = head.removeprefix(mark)
    head = head.replace(b"\x00", b"")
    if _MARKUP.match(head):
        web = "an XML file" if head.lstrip().lower().startswith(b"<?xml") else "a web page"
        table_like = name.lower().endswith((".xls", ".xlsx", ".csv"))
        given = f" named like a table ({name[-40:]})" if table_like else ""
        raise Refused(f"The file is {web}{given}: open it in a spreadsheet program and save it as .xlsx.")
    if _JSON.match(head):
        raise Refused("The file is JSON, not a table: export the list as .xlsx or .csv.")
