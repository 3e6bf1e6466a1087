"""Setting a value of the rulebook otherwise for one event, with the reason, and putting it back."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import in_force
from events.rulebook.values import BadOverride, Override, Plain
from events.setup.models import Event, RuleOverride
from events.setup.over import hold_open
from events.setup.queries import rulebook_for


class NotOverridden(Exception):
    """The event follows the published value already."""


@transaction.atomic
def override_rule(
    *, event: Event, key: str, value: Plain, reason: str, actor: Actor, now: datetime
) -> RuleOverride:
    """Set a value for this event only.

    Raises UnknownRule for a key that the rulebook does not hold, BadOverride without a reason, for a value of another
    kind than the published one, and once the event is over (both of events.rulebook.values).
    """
    hold_open(event, BadOverride)
    before = rulebook_for(event).value(key)
    if not reason.strip():
        raise BadOverride("Say why.")
    in_force(event.starts_on, event.region, {key: Override(value, reason)})
    override, _ = RuleOverride.objects.update_or_create(
        event=event,
        key=key,
        defaults={"value": as_json(value), "reason": reason.strip(), "by": actor.name, "at": now},
    )
    record(
        chain=event.slug,
        action=Action.RULE_OVERRIDDEN,
        subject=key,
        actor=actor,
        now=now,
        detail={"value": {"old": as_json(before.value), "new": as_json(value)}},
        reason=reason.strip(),
    )
    return override


@transaction.atomic
def restore_rule(*, event: Event, key: str, reason: str, actor: Actor, now: datetime) -> None:
    """Follow the published value again. Raises NotOverridden, and BadOverride without a reason or once the event is
    over."""
    hold_open(event, BadOverride)
    if not reason.strip():
        raise BadOverride("Say why.")
    override = RuleOverride.objects.filter(event=event, key=key).first()
    if override is None:
        raise NotOverridden(f"{key} has its published value already.")
    old = override.value
    override.delete()
    book = rulebook_for(event)
    published = as_json(book.value(key).value) if book.has(key) else None
    record(
        chain=event.slug,
        action=Action.RULE_RESTORED,
        subject=key,
        actor=actor,
        now=now,
        detail={"value": {"old": old, "new": published}},
        reason=reason.strip(),
    )


def as_json(value: Plain) -> Any:
    """A value of the rulebook as JSON keeps it: decimals as text."""
    if isinstance(value, Mapping):
        return {name: as_json(item) for name, item in value.items()}
    if isinstance(value, tuple):
        return [as_json(item) for item in value]
    return str(value) if isinstance(value, Decimal) else value
