"""The hash of one row: SHA-256 over a canonical JSON of all that the row says and the hash before it."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Row:
    chain: str
    number: int
    at: datetime
    actor_id: int | None
    actor: str
    action: str
    subject: str
    detail: Mapping[str, Any]
    reason: str
    before: str


def digest(row: Row) -> str:
    """64 hex digits. Independent of time zone, key order and database."""
    body = [
        row.chain,
        row.number,
        row.at.astimezone(UTC).isoformat(timespec="microseconds"),
        row.actor_id,
        row.actor,
        row.action,
        row.subject,
        row.detail,
        row.reason,
        row.before,
    ]
    text = json.dumps(body, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
