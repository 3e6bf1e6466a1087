"""What the log says of an entry, or of the last minutes at the table, in few words."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from events.log.actions import Action
from events.log.models import Act
from events.setup.figures import money_text
from events.setup.models import Event

AT_THE_TABLE = (
    Action.CHECKED_IN,
    Action.CHECKIN_UNDONE,
    Action.PAYMENT_TAKEN,
    Action.PAYMENT_UNDONE,
    Action.PACK_GIVEN,
    Action.ENTRY_ADDED,
    Action.ENTRY_PROMOTED,
    Action.ENTRY_WITHDRAWN,
)
RECENT = 4
STORED_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d\S*[+-]\d\d:\d\d")
HIDDEN = frozenset({"entry", "payment", "desk", "order_was", "took_place_of"})  # for machines


@dataclass(frozen=True, slots=True)
class Line:
    """One act; `at` is the clock at the venue, `words` what it changed."""

    at: datetime
    actor: str
    action: str
    subject: str
    words: str
    reason: str


def recent_acts(event: Event) -> list[Line]:
    """The last acts of all desks, newest first (1 query)."""
    acts = Act.objects.filter(chain_id=event.slug, action__in=AT_THE_TABLE).order_by("-number")
    return [_line(act, event) for act in acts[:RECENT]]


def history_of(event: Event, entry_id: int) -> list[Line]:
    """Everything that was done to one entry, newest first (1 query)."""
    acts = Act.objects.filter(chain_id=event.slug, detail__entry=entry_id).order_by("-number")
    return [_line(act, event) for act in acts]


def waivers_of(event: Event) -> dict[int, Line]:
    """Entry id → the director's waiver of a missed check-in, the newest (1 query)."""
    acts = Act.objects.filter(chain_id=event.slug, action=Action.ENTRY_EXCEPTION, detail__has_key="waived")
    return {act.detail["entry"]: _line(act, event) for act in acts.order_by("number")}


def _line(act: Act, event: Event) -> Line:
    detail = {name: _moment(value, event) for name, value in act.detail.items()}
    words = "; ".join(_facts(detail, event.currency))
    return Line(event.local(act.at), act.actor, act.action_words, act.subject, words, act.reason)


def _moment(value: Any, event: Event) -> Any:
    """A stored moment as the venue's clock shows it; anything else as it is."""
    if not isinstance(value, str) or not STORED_MOMENT.fullmatch(value):
        return value
    local = event.local(datetime.fromisoformat(value))
    return f"{local.day} {local:%b %H:%M}"


def _facts(detail: Mapping[str, Any], currency: str) -> Iterator[str]:
    for name, value in detail.items():
        label = name.removesuffix("_cents").replace("_", " ")
        if name in HIDDEN or value in (None, ""):
            continue
        if isinstance(value, Mapping) and value.keys() == {"old", "new"}:
            yield f"{label}: {_value(name, value['old'], currency)} → {_value(name, value['new'], currency)}"
        elif name == "amount_cents":
            yield _value(name, value, currency)
        else:
            yield f"{label} {_value(name, value, currency)}"


def _value(name: str, value: Any, currency: str) -> str:
    if value is None or value == "":
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int) and name.endswith("_cents"):
        return money_text(value, currency)
    if isinstance(value, Mapping):
        return ", ".join(_facts(value, currency))
    if isinstance(value, list):
        return ", ".join(_value(name, each, currency) for each in value)
    return str(value)
