"""The zip container of a workbook, opened only after it is shown to be harmless.

Only stored and deflated parts are read, each by streaming; parts inside parts are never unpacked,
nothing is written to disk, no link is followed.
"""

import io
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from xml.parsers import expat

from events.sheets.refusal import Limits, Refused, damaged

_CHUNK = 64 * 1024
_CENTRAL_ENTRY = b"PK\x01\x02"
_XML_SUFFIXES = (".xml", ".rels", ".vml")
_BOMB = "The file unpacks to far more than an entry list can hold, as a zip bomb does: it was not opened."
_OTHER_CONTENT = {
    "content.xml": "The file is an OpenDocument table: save it as .xlsx or .csv and choose that file.",
    "xl/workbook.bin": "The file is a binary workbook (.xlsb): save it as .xlsx or .csv and choose that.",
    "index/document.iwa": "The file is a spreadsheet program's own document: export it as .xlsx or .csv.",
    "word/document.xml": "The file is a text document, not a workbook: copy its table into a spreadsheet.",
    "ppt/presentation.xml": "The file is a presentation, not a workbook.",
}


@dataclass(frozen=True)
class Package:
    """The parts of a checked container by lower-case name (part names ignore case)."""

    archive: zipfile.ZipFile
    parts: Mapping[str, zipfile.ZipInfo]

    def __contains__(self, name: str) -> bool:
        return name.lower() in self.parts

    def read(self, name: str) -> bytes:
        """The whole part; `damaged` when there is none."""
        return b"".join(self.chunks(name))

    def chunks(self, name: str) -> Iterator[bytes]:
        """The part in pieces of 64 KB; `damaged` when there is none."""
        info = self.parts.get(name.lower())
        if info is None:
            raise damaged(f"its part {name[:80]} is missing")
        return _stream(self.archive, info)


def open_package(data: bytes, limits: Limits) -> Package:
    """Check the container and every part of it; raises `Refused`."""
    if data.count(_CENTRAL_ENTRY) > limits.parts:
        raise Refused(_BOMB)
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as error:
        raise damaged("its table of contents cannot be read") from error
    parts = _contents(archive, limits)
    for name, refusal in _OTHER_CONTENT.items():
        if name in parts:
            raise Refused(refusal)
    if "[content_types].xml" not in parts:
        raise Refused("The file is a zip archive, not a workbook: unpack it and choose the .xlsx or .csv.")
    _inspect(archive, parts, limits)
    return Package(archive, parts)


def _contents(archive: zipfile.ZipFile, limits: Limits) -> dict[str, zipfile.ZipInfo]:
    """The declared parts, refused when their declared sizes, packing or names cannot be honest."""
    parts: dict[str, zipfile.ZipInfo] = {}
    declared = 0
    for info in archive.infolist():
        name = info.filename.replace("\\", "/").lstrip("/").lower()
        if info.flag_bits & 0x1:
            raise Refused("The file is locked with a password: remove the password and save it again.")
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise damaged("its parts are packed in a way that workbooks do not use")
        if name in parts:
            raise damaged("it holds two parts of the same name")
        declared += info.file_size
        swollen = info.file_size > limits.ratio * max(info.compress_size, 1)
        if declared > limits.unpacked or (swollen and info.file_size > limits.ratio_from):
            raise Refused(_BOMB)
        parts[name] = info
    if len(parts) > limits.parts:
        raise Refused(_BOMB)
    return parts


def _inspect(archive: zipfile.ZipFile, parts: Mapping[str, zipfile.ZipInfo], limits: Limits) -> None:
    """Unpack every part once without keeping it: real size, checksum, no document type declaration."""
    actual = 0
    for name, info in parts.items():
        prolog = Prolog() if name.endswith(_XML_SUFFIXES) else None
        for chunk in _stream(archive, info):
            actual += len(chunk)
            if actual > limits.unpacked:
                raise Refused(_BOMB)
            if prolog is not None:
                prolog.feed(chunk)


def _stream(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> Iterator[bytes]:
    """A part in pieces. `zipfile` never gives more than the declared size and checks the checksum."""
    length = 0
    try:
        with archive.open(info) as part:
            while chunk := part.read(_CHUNK):
                length += len(chunk)
                yield chunk
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError) as error:
        raise damaged(f"its part {info.filename[:80]} cannot be unpacked") from error
    if length != info.file_size:
        raise damaged(f"its part {info.filename[:80]} is shorter than it says")


def parser() -> expat.XMLParserType:
    """An expat parser that refuses any document type declaration, and so every entity of one's own."""
    made = expat.ParserCreate()
    made.buffer_text = True
    made.StartDoctypeDeclHandler = _no_doctype
    return made


def _no_doctype(*_: object) -> None:
    raise Refused(
        "The workbook holds a document type declaration (external entities), which no honest workbook does:"
        " it was not read."
    )


class Prolog:
    """Reads an XML part up to its first element: only there can a document type be declared."""

    def __init__(self) -> None:
        self._parser: expat.XMLParserType | None = parser()
        self._parser.StartElementHandler = self._first_element

    def feed(self, chunk: bytes) -> None:
        """Take the next piece; raises `Refused` on a document type declaration."""
        if self._parser is None:
            return
        try:
            self._parser.Parse(chunk, False)
        except expat.ExpatError:
            # Not well-formed: whoever reads this part as XML will say so, and a picture is nobody's harm.
            self._parser = None
        except _RootSeen:
            self._parser = None

    def _first_element(self, *_: object) -> None:
        raise _RootSeen


class _RootSeen(Exception):
    """The prolog is over."""
