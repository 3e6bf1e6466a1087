"""Files that are not what they say, or mean harm: each refused with a sentence that says what to do."""

import io
import struct
import tracemalloc
import zipfile
import zlib
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.sheets.reading import DEFAULT_LIMITS, Limits, Refused, read_table

Maker = Callable[..., bytes]

CELL = '<row r="1"><c r="A1" t="inlineStr"><is><t>Name</t></is></c></row>'
BOMB = "The file unpacks to far more than an entry list can hold, as a zip bomb does: it was not opened."
DECLARES = (
    "The workbook holds a document type declaration (external entities), which no honest workbook does:"
    " it was not read."
)
OLE2 = bytes.fromhex("d0cf11e0a1b11ae1")


def refusal(data: bytes, name: str = "list.xlsx", limits: Limits = DEFAULT_LIMITS) -> str:
    with pytest.raises(Refused) as caught:
        read_table(name, data, limits=limits)
    return str(caught.value)


def test_the_small_workbook_that_the_others_are_made_of_is_read(parts: Maker, packed: Maker) -> None:
    assert read_table("list.xlsx", packed(parts(CELL))).headings == ("Name",)


@pytest.mark.parametrize("data", [b"", b"  \r\n\t "])
def test_empty_files(data: bytes) -> None:
    assert refusal(data) == "The file is empty."


def test_a_file_too_large() -> None:
    assert refusal(b"x" * (11 * 1024 * 1024)) == (
        "The file is 11.0 MB; at most 10 MB are read. Delete pictures and unused sheets, or save it as .csv."
    )


def test_old_and_locked_containers() -> None:
    assert refusal(OLE2 + b"\x00" * 600) == (
        "The file is an old binary workbook (.xls): open it and save it as .xlsx or .csv."
    )
    assert refusal(OLE2 + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le")) == (
        "The workbook is locked with a password: remove the password and save it again."
    )


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"%PDF-1.7\n...", "a PDF"),
        (b"\x89PNG\r\n\x1a\n", "a picture"),
        (b"{\\rtf1 Name}", "a text document (RTF)"),
        (b"\x1f\x8b\x08\x00", "a packed archive"),
        (b"\x7fELF\x02", "a program"),
        (b"SQLite format 3\x00", "a database"),
    ],
)
def test_other_kinds_of_files(data: bytes, what: str) -> None:
    assert refusal(data) == (f"The file is {what}, whatever its name says: export the list as .xlsx or .csv.")


@pytest.mark.parametrize(
    "data",
    [
        b"<html><table><tr><td>Name</td></tr></table></html>",
        b"\xef\xbb\xbf\n<!DOCTYPE html><p>",
        "<table>".encode("utf-16"),
        b"<META charset=utf-8><table>",
    ],
)
def test_web_pages_named_like_a_workbook(data: bytes) -> None:
    assert refusal(data, "export.xls") == (
        "The file is a web page named like a table (export.xls): open it in a spreadsheet program and save it"
        " as .xlsx."
    )


def test_xml_and_json() -> None:
    assert refusal(b'<?xml version="1.0"?><Workbook/>', "a").startswith("The file is an XML file: open it")
    assert refusal(b'{"name": 1}') == "The file is JSON, not a table: export the list as .xlsx or .csv."


def test_binary_data_named_csv() -> None:
    assert refusal(bytes(range(256)) * 20, "list.csv") == (
        "The file is not a table but binary data: export the list as .xlsx or .csv."
    )


def test_archives_that_are_no_workbook(packed: Maker) -> None:
    assert refusal(packed({"notes.txt": "x"})).startswith("The file is a zip archive, not a workbook")
    assert refusal(packed({"mimetype": "x", "content.xml": "<a/>"})).startswith(
        "The file is an OpenDocument table"
    )
    assert refusal(packed({"word/document.xml": "<a/>"})).startswith("The file is a text document")
    assert refusal(packed({"xl/workbook.bin": "x"})).startswith("The file is a binary workbook (.xlsb)")
    assert refusal(packed({})).startswith("The file is a zip archive, not a workbook")


def test_a_workbook_cut_short_or_changed(parts: Maker, packed: Maker) -> None:
    whole = packed(parts(CELL))
    assert refusal(whole[: len(whole) // 2]).startswith("The workbook is damaged (its table of contents")
    stored = packed(parts(CELL), zipfile.ZIP_STORED)
    assert refusal(stored.replace(b">Name<", b">Fame<")).startswith("The workbook is damaged (its part")


@pytest.mark.parametrize("missing", ["_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"])
def test_a_workbook_without_a_part_it_needs(parts: Maker, packed: Maker, missing: str) -> None:
    made = parts(CELL)
    del made[missing]
    assert refusal(packed(made)) == (
        f"The workbook is damaged (its part {missing} is missing): open it in a spreadsheet program and save it"
        " again as .xlsx."
    )


def test_a_workbook_without_sheets(parts: Maker, packed: Maker) -> None:
    made = parts(CELL)
    del made["xl/worksheets/sheet1.xml"]
    assert refusal(packed(made)) == "The workbook holds no sheet with cells."


@pytest.mark.parametrize(
    "data",
    [
        '<row r="1"><c r="A1" t="s"><v>7</v></c></row>',
        '<row r="1"><c r="A1" t="s"><v>x</v></c></row>',
        '<row r="-1"><c r="A1"><v>7</v></c></row>',
        '<row r="1048577"><c r="A1"><v>7</v></c></row>',
        '<row r="1"><c r="!!1"><v>7</v></c></row>',
        '<row r="1"><c r="A1"><v>7</c></row>',
        "<row r='1'><c r='A1'><v>&own;</v></c></row>",
    ],
)
def test_cells_that_contradict_themselves(parts: Maker, packed: Maker, data: str) -> None:
    assert refusal(packed(parts(data))).startswith("The workbook is damaged (")


def test_a_declared_bomb(parts: Maker, packed: Maker) -> None:
    made = parts(CELL)
    made["xl/media/image1.png"] = b"\x00" * (100 * 1024 * 1024)
    assert refusal(packed(made)) == BOMB


def test_a_bomb_of_many_small_charges(parts: Maker, packed: Maker) -> None:
    made = parts(CELL) | {f"xl/media/{i}.png": b"\x00" * 900_000 for i in range(120)}
    assert refusal(packed(made)) == BOMB


def test_a_sheet_swollen_beyond_any_honest_ratio(parts: Maker, packed: Maker) -> None:
    assert refusal(packed(parts(CELL + "<row/>" * 400_000))) == BOMB


def test_too_many_parts(parts: Maker, packed: Maker) -> None:
    made = parts(CELL) | {f"xl/media/{i}.txt": "" for i in range(1000)}
    assert refusal(packed(made)) == BOMB


def test_a_bomb_that_lies_about_its_size_is_not_unpacked(parts: Maker, packed: Maker) -> None:
    """The central directory and the local header say 10 bytes; the stream holds 300 MB."""
    made = parts(CELL)
    made["xl/media/big.png"] = b""
    data = packed(made, zipfile.ZIP_STORED)
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    stream = b"".join(packer.compress(b"\x00" * 1024 * 1024) for _ in range(300)) + packer.flush()
    lying = _replaced(data, "xl/media/big.png", stream, claimed=10)
    tracemalloc.start()
    assert refusal(lying).startswith("The workbook is damaged (its part xl/media/big.png cannot be unpacked)")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 10 * 1024 * 1024


def _replaced(data: bytes, name: str, stream: bytes, claimed: int) -> bytes:
    """The archive with one part replaced by a deflated stream and a claimed size."""
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(target, "w") as archive:
        for info in source.infolist():
            if info.filename != name:
                archive.writestr(info, source.read(info))
        archive.writestr(name, stream)
    made = bytearray(target.getvalue())
    central = made.rfind(b"PK\x01\x02")
    local = struct.unpack_from("<L", made, central + 42)[0]
    for start, method, size in ((local, 8, 22), (central, 10, 24)):
        struct.pack_into("<H", made, start + method, zipfile.ZIP_DEFLATED)
        struct.pack_into("<L", made, start + size, claimed)
    return bytes(made)


@pytest.mark.parametrize("compression", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packing_that_unpacks_without_bounds(parts: Maker, packed: Maker, compression: int) -> None:
    assert refusal(packed(parts(CELL), compression)).startswith(
        "The workbook is damaged (its parts are packed in a way that workbooks do not use)"
    )


def test_a_password_on_the_archive(parts: Maker, packed: Maker) -> None:
    data = bytearray(packed(parts(CELL)))
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.find(mark) + offset] |= 1
    assert (
        refusal(bytes(data)) == "The file is locked with a password: remove the password and save it again."
    )


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_parts_of_one_name(parts: Maker, packed: Maker) -> None:
    target = io.BytesIO(packed(parts(CELL)))
    with zipfile.ZipFile(target, "a") as archive:
        archive.writestr("XL/worksheets/SHEET1.xml", "<worksheet/>")
    assert refusal(target.getvalue()).startswith(
        "The workbook is damaged (it holds two parts of the same name)"
    )


DOCTYPES = [
    '<!DOCTYPE x [<!ENTITY own SYSTEM "file:///etc/hostname">]>',
    '<!DOCTYPE x SYSTEM "http://127.0.0.1:9/x.dtd">',
    '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>',
    "<!DOCTYPE x>",
]


@pytest.mark.parametrize("declaration", DOCTYPES)
@pytest.mark.parametrize(
    "part",
    [
        "[Content_Types].xml",
        "_rels/.rels",
        "xl/workbook.xml",
        "xl/_rels/workbook.xml.rels",
        "xl/sharedStrings.xml",
        "xl/worksheets/sheet1.xml",
        "docProps/core.xml",
        "xl/drawings/vmlDrawing1.vml",
    ],
)
def test_declarations_in_any_part(parts: Maker, packed: Maker, part: str, declaration: str) -> None:
    made = parts(CELL)
    content = made.get(part, "<x/>")
    made[part] = f'<?xml version="1.0"?><!-- long {"x" * 70_000} -->{declaration}{content}'
    assert refusal(packed(made)) == DECLARES


def test_a_declaration_in_another_alphabet(parts: Maker, packed: Maker) -> None:
    made = parts(CELL)
    text = f'<?xml version="1.0" encoding="utf-16"?>{DOCTYPES[0]}{made["xl/worksheets/sheet1.xml"]}'
    made["xl/worksheets/sheet1.xml"] = text.encode("utf-16")
    assert refusal(packed(made)) == DECLARES


def test_links_to_elsewhere_and_macros_are_never_looked_at(parts: Maker, packed: Maker) -> None:
    made = parts(CELL)
    outside = '<Relationship Id="r9" Type="x/externalLink" Target="http://127.0.0.1:9/a.xlsx" TargetMode="External"/>'
    relations = made["xl/_rels/workbook.xml.rels"]
    made["xl/_rels/workbook.xml.rels"] = relations.replace("</Relationships>", f"{outside}</Relationships>")
    made["xl/externalLinks/externalLink1.xml"] = "<externalLink/>"
    made["xl/vbaProject.bin"] = b"\x00" * 100
    assert read_table("list.xlsm", packed(made)).headings == ("Name",)


def test_a_sheet_that_is_elsewhere_is_no_sheet(parts: Maker, packed: Maker) -> None:
    made = parts(CELL)
    relations = made["xl/_rels/workbook.xml.rels"]
    made["xl/_rels/workbook.xml.rels"] = relations.replace(
        'Target="worksheets/sheet1.xml"', 'Target="file:///etc/hostname" TargetMode="External"'
    )
    assert refusal(packed(made)) == "The workbook holds no sheet with cells."


@given(st.binary(max_size=200))
def test_any_bytes_are_a_table_or_refused(data: bytes) -> None:
    for head in (b"", b"PK\x03\x04", OLE2, b"Name,Town\n"):
        try:
            table = read_table("list.csv", head + data)
        except Refused as refused:
            message = str(refused)
            continue
        assert len(table.headings) > 0
    assert isinstance(message, str)


@given(st.data())
def test_a_workbook_with_any_byte_changed_is_read_or_refused(
    data: st.DataObject,
) -> None:
    whole = bytearray(_WHOLE)
    for _ in range(data.draw(st.integers(1, 4))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    try:
        headings = read_table("list.xlsx", bytes(whole)).headings
    except Refused as refused:
        headings = (str(refused),)
    assert len(headings) > 0


def _small_workbook() -> bytes:
    import openpyxl

    made = openpyxl.Workbook()
    for row in (["Name", "Division"], ["Tamsel", "MA1"], ["Orri", 5]):
        made.worksheets[0].append(row)
    target = io.BytesIO()
    made.save(target)
    return target.getvalue()


_WHOLE = _small_workbook()
