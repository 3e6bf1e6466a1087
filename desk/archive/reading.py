"""An archive from outside: looked at whole before anything of it is believed."""

import hashlib
import io
import json
import re
import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from desk.archive.manifest import NO_ARCHIVE, Manifest, read_manifest
from desk.archive.refusal import ArchiveRefused
from desk.archive.shape import EVENT, Table, tables
from events.log.actions import Action

LARGEST = 400 * 1024 * 1024  # bytes unpacked; a field of 300 with photos stays far below
OUR_NAMES = re.compile(r"manifest\.json|log\.jsonl|rows/[A-Za-z0-9_.]{1,100}\.jsonl|files/[0-9a-f]{64}")
PACKED_AS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
BROKEN = (
    zipfile.BadZipFile, zlib.error, struct.error, NotImplementedError, RuntimeError, OSError, EOFError, ValueError,
)  # fmt: skip
ACT = {
    "number": int, "at": str, "actor_id": int | None, "actor": str, "action": str, "subject": str, "detail": dict,
    "reason": str, "before": str, "hash": str,
}  # fmt: skip
Rows = list[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Content:
    """A file that is what its manifest says: rows by table, acts of the log, binary contents by their SHA-256."""

    manifest: Manifest
    rows: Mapping[str, Rows]
    acts: Rows
    files: Mapping[str, bytes]


def read_archive(content: bytes) -> Content:
    """Unpack and check. Raises ArchiveRefused with a sentence for a file that is not whole or of another version."""
    parts = _unpacked(content)
    manifest = read_manifest(parts.pop("manifest.json", None))
    _whole(manifest, parts)
    rows = {table.label: _rows(table, parts[f"rows/{table.label}.jsonl"]) for table in tables()}
    files = {name.removeprefix("files/"): part for name, part in parts.items() if name.startswith("files/")}
    if [row["slug"] for row in rows[EVENT]] != [manifest.slug]:
        raise ArchiveRefused("The file is damaged: it does not hold the one event that its manifest names.")
    return Content(manifest, rows, _acts(manifest, parts["log.jsonl"]), files)


def _unpacked(content: bytes) -> dict[str, bytes]:
    """The parts by name. Names and sizes are looked at before anything is unpacked; nothing is written to disk."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            infos = archive.infolist()
            _look_at(infos)
            return {info.filename: archive.read(info) for info in infos}
    except BROKEN as wrong:
        raise ArchiveRefused(NO_ARCHIVE) from wrong


def _look_at(infos: list[zipfile.ZipInfo]) -> None:
    if sum(info.file_size for info in infos) > LARGEST:
        raise ArchiveRefused(f"Unpacked the file is larger than {LARGEST // 2**20} MB: it is not opened.")
    names = [info.filename for info in infos]
    if "manifest.json" not in names:
        raise ArchiveRefused(NO_ARCHIVE)
    strange = next((name for name in names if not OUR_NAMES.fullmatch(name)), None)
    if strange is not None:
        raise ArchiveRefused(f"The file was changed: {strange[:60]!r} does not belong to it.")
    if len(set(names)) != len(names):
        raise ArchiveRefused("The file was changed: a part of it is in it twice.")
    if any(info.compress_type not in PACKED_AS for info in infos):
        raise ArchiveRefused(
            "The file was packed anew by another program: choose the one that was made here."
        )


def _whole(manifest: Manifest, parts: Mapping[str, bytes]) -> None:
    """Every file is there with its SHA-256, and none besides."""
    named = manifest.files
    for name in sorted({*named, *parts}):
        if name not in parts:
            raise ArchiveRefused(
                f"The file is damaged: {name[:60]} is missing. Copy it again from where it was made."
            )
        if name not in named:
            raise ArchiveRefused(f"The file was changed: {name} does not belong to it.")
        if hashlib.sha256(parts[name]).hexdigest() != named[name]:
            raise ArchiveRefused(
                f"The file was changed or damaged: {name} is not what the manifest says. Copy it again from where it"
                " was made."
            )
    for table in tables():
        if f"rows/{table.label}.jsonl" not in parts:
            raise ArchiveRefused(f"The file is damaged: it holds nothing of {table.label}.")
    if "log.jsonl" not in parts:
        raise ArchiveRefused("The file is damaged: it holds no log.")


def _rows(table: Table, part: bytes) -> Rows:
    """Rows with exactly the columns of their table, and ids that are told apart."""
    columns, key = {field.attname for field in table.fields}, str(table.model._meta.pk.attname)
    rows = _lines(part)
    keys = [row.get(key) for row in rows]
    if (
        any(row.keys() != columns for row in rows)
        or not all(isinstance(each, int | str) for each in keys)
        or len(set(keys)) != len(keys)
    ):
        raise ArchiveRefused(f"The file is damaged: a row of {table.label} is not one of that table.")
    return rows


def _acts(manifest: Manifest, part: bytes) -> Rows:
    acts = _lines(part)
    for act in acts:
        whole = act.keys() == ACT.keys() and all(isinstance(act[name], kind) for name, kind in ACT.items())
        if not whole or not 0 < act["number"] <= manifest.length:
            raise ArchiveRefused("The file is damaged: a row of its log is none.")
    lacks = _lacks_at_the_end(manifest, acts)
    if lacks:
        raise ArchiveRefused(
            f"The log in the file is not whole: {lacks}. So it is not the file that was made there: copy it again from"
            " where it was made."
        )
    return acts


def _lacks_at_the_end(manifest: Manifest, acts: Rows) -> str:
    """What shows that rows are missing at the end of the log; "": none are.

    The last act of every archive is that it was made (`packing.pack_event`), also where the log had a fault before.
    """
    last = max(acts, key=lambda act: int(act["number"]), default=None)
    if last is None or last["number"] != manifest.length:
        ends = last["number"] if last is not None else 0
        return f"it ends at row {ends}, and its head says {manifest.length}"
    if last["hash"] != manifest.head:
        return f"its last row, {manifest.length}, is not the one that its head names"
    if last["action"] != Action.EVENT_ARCHIVED or not _same_moment(last["at"], manifest.made_at):
        return f"its last row, {manifest.length}, does not say that the file was made"
    return ""


def _same_moment(one: str, other: str) -> bool:
    try:
        return datetime.fromisoformat(one) == datetime.fromisoformat(other)
    except ValueError:
        return False


def _lines(part: bytes) -> Rows:
    try:
        # Not splitlines: that parts at line separators inside a text too.
        rows = [json.loads(line) for line in part.decode().split("\n") if line]
    except (ValueError, RecursionError) as wrong:
        raise ArchiveRefused("The file is damaged: a line of it is no JSON.") from wrong
    if not all(isinstance(row, dict) for row in rows):
        raise ArchiveRefused("The file is damaged: a line of it is no row.")
    return rows
