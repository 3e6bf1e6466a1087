"""The log as its page shows it: the acts that are looked for, each in words of what was old and what is new."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from events.log.actions import Action
from events.log.models import Act
from events.setup.figures import money_text

LONGEST = 160  # of one value: an imported list of problems would fill the page


@dataclass(frozen=True, slots=True)
class Change:
    """`old` is None where the act only says what is."""

    label: str
    old: str | None
    new: str


@dataclass(frozen=True, slots=True)
class Line:
    number: int
    at: datetime
    actor: str
    action: str
    subject: str
    changes: tuple[Change, ...]
    reason: str
    hash: str


def acts_of(chain: str, action: str, text: str) -> QuerySet[Act]:
    """The acts of a log, newest first; of one action and with a text in subject, actor, reason or the words of the act
    if asked."""
    acts = Act.objects.filter(chain_id=chain).order_by("-number")
    if action:
        acts = acts.filter(action=action)
    if text:
        said = [value for value, words in Action.choices if text.casefold() in str(words).casefold()]
        acts = acts.filter(
            Q(subject__icontains=text)
            | Q(actor__icontains=text)
            | Q(reason__icontains=text)
            | Q(action__in=said)
        )
    return acts


def line(act: Act, zone: ZoneInfo, currency: str) -> Line:
    """An act as the log page shows it; `zone` and `currency` are the event's."""
    return Line(
        number=act.number,
        at=act.at.astimezone(zone),
        actor=act.actor,
        action=act.action_words,
        subject=act.subject,
        changes=tuple(changes(act.detail, zone, currency)),
        reason=act.reason,
        hash=act.hash[:10],
    )


def changes(detail: Mapping[str, Any], zone: ZoneInfo, currency: str) -> list[Change]:
    """Old → new by field, from {"field": {"old": …, "new": …}} or {"old": {…}, "new": {…}}; else facts as they are."""
    if _is_pair(detail):
        old, new = detail["old"], detail["new"]
        if isinstance(old, Mapping) and isinstance(new, Mapping):
            fields = {name: {"old": old.get(name), "new": new.get(name)} for name in {**old, **new}}
            return changes(
                {n: pair for n, pair in fields.items() if pair["old"] != pair["new"]}, zone, currency
            )
        return [Change("", _words("", old, zone, currency), _words("", new, zone, currency))]
    found = []
    for name, value in detail.items():
        label = name.removesuffix("_cents").removesuffix("_at").replace("_", " ")
        if _is_pair(value):
            old, new = (_words(name, value[side], zone, currency) for side in ("old", "new"))
            found.append(Change(label, old, new))
        else:
            found.append(Change(label, None, _words(name, value, zone, currency)))
    return found


def _is_pair(value: Any) -> bool:
    return isinstance(value, Mapping) and value.keys() == {"old", "new"}


def _words(name: str, value: Any, zone: ZoneInfo, currency: str) -> str:
    """A stored value as people read it, cut where it is long."""
    if value is None or value == "":
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int) and name.endswith("_cents"):
        return money_text(value, currency)
    if isinstance(value, str) and name.endswith("_at"):
        return _moment(value, zone)
    if isinstance(value, Mapping):
        words = ", ".join(f"{key} {_words(key, item, zone, currency)}" for key, item in value.items())
    elif isinstance(value, list):
        words = ", ".join(_words(name, item, zone, currency) for item in value)
    else:
        words = str(value)
    return words if len(words) <= LONGEST else f"{words[: LONGEST - 1]}…"


def _moment(text: str, zone: ZoneInfo) -> str:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return text
    local = moment.astimezone(zone) if moment.tzinfo else moment
    return f"{local.day} {local:%B %Y %H:%M}"
