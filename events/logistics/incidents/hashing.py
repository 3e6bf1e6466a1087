"""A digest of what was written, kept in the log, so that a row that was changed behind the program shows. Pure."""

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime

WRITTEN = (
    "number", "kind", "happened_at", "place", "round_number", "who", "what", "witnesses", "done", "done_by",
)  # fmt: skip


def digest_of(facts: Mapping[str, object]) -> str:
    """SHA-256 over the facts by name; moments count in UTC, however they are written."""
    plain = {name: _plain(value) for name, value in facts.items()}
    text = json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: object) -> object:
    return value.timestamp() if isinstance(value, datetime) else value
