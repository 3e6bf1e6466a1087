"""What a phone sends: a list of acts that it kept while it had no connection. Pure reading; nothing is written here."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from events.setup.asked import phone_moment
from events.sheets.cells import clean

MOST_ACTS = 60  # of one request: a card of three holes for 20 players; the rest follows in the next
_MOST_OVER = 20
SCORE, CONFIRM, RULING, DANGER = "score", "confirm", "ruling", "danger"
KINDS = frozenset({SCORE, CONFIRM, RULING, DANGER})


class NoActs(Exception):
    """What was sent is no list of acts; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class GroupAct:
    """One tap or question. `seq` is the phone's own count, `typed_at` by its own clock. Only the fields of its `kind`
    say something: a score has entry, hole, throws and `over`; a confirmation entry, `figures` and `total`; a question
    hole, words and perhaps entry."""

    key: UUID
    kind: str
    seq: int
    entry: int | None
    hole: str
    throws: int | None
    over: tuple[str, ...] = ()
    figures: tuple[int | None, ...] = ()
    total: int | None = None
    words: str = ""
    typed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Sent:
    """A request: whose phone it is and what was done on it, in its order. `seen` and `heard` name the state that the
    phone has, as it was told; without them it is told everything."""

    device: UUID
    name: str
    acts: tuple[GroupAct, ...] = field(default=())
    seen: str = ""
    heard: int | None = None


def read_acts(body: bytes) -> Sent:
    """The acts of a request, JSON `{"device": uuid, "name": text, "acts": […], "seen": text, "heard": number}`, the
    last two as the phone was told them, or not at all. Raises NoActs."""
    try:
        sent = json.loads(body)
        rows = sent["acts"]
        if not isinstance(rows, list) or len(rows) > MOST_ACTS:
            raise ValueError
        name = clean(str(sent.get("name") or ""))[:60]
        return Sent(
            device=UUID(sent["device"]),
            name=name,
            acts=tuple(_act(row) for row in rows),
            seen=str(sent.get("seen") or "")[:40],
            heard=_whole(sent.get("heard"), 2**63 - 1),
        )
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise NoActs("The page sent something that is no list of acts. Load it again.") from None


def _act(row: Mapping[str, Any]) -> GroupAct:
    kind, over, figures = str(row["kind"]), row.get("over") or [], row.get("figures") or []
    if kind not in KINDS or not isinstance(over, list) or not isinstance(figures, list):
        raise ValueError
    return GroupAct(
        key=UUID(row["key"]),
        kind=kind,
        seq=_whole(row["seq"], 2**31 - 1) or 0,
        entry=_whole(row.get("entry"), 2**63 - 1),
        hole=clean(str(row.get("hole") or ""))[:6],
        throws=_whole(row.get("throws"), 10_000),
        over=tuple(str(UUID(key)) for key in over[:_MOST_OVER]),
        figures=tuple(_whole(figure, 10_000) for figure in figures[:60]),
        total=_whole(row.get("total"), 10_000),
        words=clean(str(row.get("words") or "")),
        typed_at=phone_moment(row.get("typed_at")),
    )


def _whole(value: Any, most: int) -> int | None:
    """A whole number from 0 to `most`, or nothing; whether it can be a score is for the service to say."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= most:
        raise ValueError
    return value
