"""An archive from outside: looked at whole before anything of it is believed."""

import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from desk.archive.packing import FORMAT, FORMAT_VERSION
from desk.archive.refusal import ArchiveRefused
from desk.archive.shape import fingerprint, tables
from desk.archive.version import VERSION

LARGEST = 400 * 1024 * 1024  # bytes unpacked; a field of 300 with photos stays far below
NO_ARCHIVE = "This is no archive of an event: choose the file that the closing page made."


@dataclass(frozen=True, slots=True)
class Content:
    """A file that is what its manifest says: rows by table, acts of the log, binary contents by their SHA-256."""

    manifest: Mapping[str, Any]
    rows: Mapping[str, list[dict[str, Any]]]
    acts: list[dict[str, Any]]
    files: Mapping[str, bytes]

    @property
    def slug(self) -> str:
        return str(self.manifest["event"]["slug"])


def read_archive(content: bytes) -> Content:
    """Unpack and check. Raises ArchiveRefused with a sentence for a file that is not whole or of another version."""
    parts = _unpacked(content)
    manifest = _manifest(parts.pop("manifest.json", None))
    _same_version(manifest)
    _whole(manifest, parts)
    rows = {table.label: _lines(parts[f"rows/{table.label}.jsonl"]) for table in tables()}
    files = {name.removeprefix("files/"): part for name, part in parts.items() if name.startswith("files/")}
    if len(rows["setup.Event"]) != 1:
        raise ArchiveRefused("The file is damaged: it does not hold one event.")
    return Content(manifest, rows, _lines(parts["log.jsonl"]), files)


def _unpacked(content: bytes) -> dict[str, bytes]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if sum(info.file_size for info in archive.infolist()) > LARGEST:
                raise ArchiveRefused(
                    f"Unpacked the file is larger than {LARGEST // 2**20} MB: it is not opened."
                )
            return {info.filename: archive.read(info) for info in archive.infolist()}
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, OSError, EOFError) as wrong:
        raise ArchiveRefused(NO_ARCHIVE) from wrong


def _manifest(part: bytes | None) -> dict[str, Any]:
    try:
        manifest = json.loads(part or b"")
    except ValueError as wrong:
        raise ArchiveRefused(NO_ARCHIVE) from wrong
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise ArchiveRefused(NO_ARCHIVE)
    return manifest


def _same_version(manifest: Mapping[str, Any]) -> None:
    made = manifest.get("version")
    if manifest.get("format_version") != FORMAT_VERSION or made != VERSION:
        raise ArchiveRefused(
            f"The file was made by version {made}, and this is {VERSION}: open it with that one."
        )
    if manifest.get("shape") != fingerprint():
        raise ArchiveRefused(
            f"The file was made by another build of version {VERSION}, whose tables differ: open it with that build."
        )


def _whole(manifest: Mapping[str, Any], parts: Mapping[str, bytes]) -> None:
    """Every file is there with its SHA-256, and none besides."""
    named = manifest.get("files")
    if not isinstance(named, dict):
        raise ArchiveRefused(NO_ARCHIVE)
    for name in sorted({*named, *parts}):
        if name not in parts:
            raise ArchiveRefused(
                f"The file is damaged: {name} is missing. Copy it again from where it was made."
            )
        if name not in named:
            raise ArchiveRefused(f"The file was changed: {name} does not belong to it.")
        if hashlib.sha256(parts[name]).hexdigest() != named[name].get("sha256"):
            raise ArchiveRefused(
                f"The file was changed or damaged: {name} is not what the manifest says. Copy it again from where it"
                " was made."
            )
    for table in tables():
        if f"rows/{table.label}.jsonl" not in parts:
            raise ArchiveRefused(f"The file is damaged: it holds nothing of {table.label}.")
    if "log.jsonl" not in parts:
        raise ArchiveRefused("The file is damaged: it holds no log.")


def _lines(part: bytes) -> list[dict[str, Any]]:
    try:
        # Not splitlines: that parts at line separators inside a text too.
        return [json.loads(line) for line in part.decode().split("\n") if line]
    except ValueError as wrong:
        raise ArchiveRefused("The file is damaged: a line of it is no JSON.") from wrong
