"""The manifest of an archive, looked at whole: nothing else is read before it is what it should be."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from desk.archive.packing import FORMAT, FORMAT_VERSION
from desk.archive.refusal import ArchiveRefused
from desk.archive.shape import fingerprint
from desk.archive.version import VERSION
from events.setup.models import Event

NO_ARCHIVE = "This is no archive of an event: choose the file that the closing page made."
SHA256 = 64  # letters


@dataclass(frozen=True, slots=True)
class Manifest:
    """`slug`, `made_at`: as the event was there; `length`, `head`, `former` of its log's chain; `files`: the SHA-256 of
    each other file by its name."""

    slug: str
    made_at: str
    length: int
    head: str
    former: tuple[tuple[int, str], ...]
    files: Mapping[str, str]


def read_manifest(part: bytes | None) -> Manifest:
    """Raises ArchiveRefused for what is no manifest, of another version, or damaged."""
    try:
        raw = json.loads(part or b"")
    except (ValueError, RecursionError) as wrong:
        raise ArchiveRefused(NO_ARCHIVE) from wrong
    if not isinstance(raw, dict) or raw.get("format") != FORMAT:
        raise ArchiveRefused(NO_ARCHIVE)
    _same_version(raw)
    try:
        return _read(raw)
    except (AttributeError, KeyError, TypeError, ValueError, ValidationError) as wrong:
        raise ArchiveRefused(
            "The file is damaged: its manifest does not say what it should. Copy it again from where it was made."
        ) from wrong


def _same_version(raw: Mapping[str, Any]) -> None:
    made = raw.get("version")
    if raw.get("format_version") != FORMAT_VERSION or made != VERSION:
        raise ArchiveRefused(
            f"The file was made by version {str(made)[:20]}, and this is {VERSION}: open it with that one."
        )
    if raw.get("shape") != fingerprint():
        raise ArchiveRefused(
            f"The file was made by another build of version {VERSION}, whose tables differ: open it with that build."
        )


def _read(raw: Mapping[str, Any]) -> Manifest:
    log, slug = raw["log"], raw["event"]["slug"]
    Event._meta.get_field("slug").run_validators(slug)
    if datetime.fromisoformat(raw["made_at"]).tzinfo is None:
        raise ValueError("a moment without its offset")
    return Manifest(
        slug=_text(slug),
        made_at=raw["made_at"],
        length=_number(log["length"]),
        head=_text(log["head"]),
        former=tuple((_number(last), _text(key)) for last, key in _list(log["former"])),
        files={name: _text(about["sha256"]) for name, about in raw["files"].items()},
    )


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > SHA256:
        raise ValueError("a text of the manifest")
    return value


def _list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise TypeError("a list of the manifest")
    return value


def _number(value: Any) -> int:
    if type(value) is not int or not 0 <= value < 2**62:
        raise ValueError("a number of the manifest")
    return value
