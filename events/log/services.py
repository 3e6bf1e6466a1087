"""Writing the log and checking its chain."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from events.log.actions import Action
from events.log.hashing import Row, digest
from events.log.models import Act, Chain

INSTALLATION = ""


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts: an account, or a named thing such as a command or a group's phone."""

    name: str
    id: int | None = None

    @classmethod
    def of(cls, user: AbstractBaseUser) -> "Actor":
        full = getattr(user, "get_full_name", str)()
        return cls(name=full or user.get_username(), id=user.pk)


COMMAND = Actor(name="command line")


@transaction.atomic
def record(
    *,
    chain: str,
    action: Action,
    subject: str,
    actor: Actor,
    now: datetime,
    detail: Mapping[str, Any] | None = None,
    reason: str = "",
) -> Act:
    """Append one act. `chain` is the event's slug or INSTALLATION; `detail` must be plain JSON.

    Raises ValueError for an action that is not in `Action`. Call it inside the transaction of the act itself,
    so that neither exists without the other.
    """
    action = Action(action)
    head = Chain.objects.select_for_update().filter(key=chain).first()
    if head is None:
        Chain.objects.get_or_create(key=chain)
        head = Chain.objects.select_for_update().get(key=chain)
    row = Row(
        chain=chain,
        number=head.length + 1,
        at=now,
        actor_id=actor.id,
        actor=actor.name[:150],
        action=action.value,
        subject=subject[:200],
        detail=dict(detail or {}),
        reason=reason,
        before=head.head,
    )
    act = Act(
        chain=head,
        number=row.number,
        at=row.at,
        actor_id=row.actor_id,
        actor=row.actor,
        action=row.action,
        subject=row.subject,
        detail=row.detail,
        reason=row.reason,
        before=row.before,
        hash=digest(row),
    )
    act.save()
    head.length, head.head = act.number, act.hash
    head.save(update_fields=["length", "head"])
    return act


@dataclass(frozen=True, slots=True)
class Fault:
    number: int
    text: str


def verify(chain: str) -> tuple[int, list[Fault]]:
    """Walk one chain from its first row: how many rows were read, and every fault in words.

    Rows that were written elsewhere, under another key, are held against that key.
    """
    faults: list[Fault] = []
    before, expected = "", 1
    head = Chain.objects.filter(key=chain).first()
    for act in Act.objects.filter(chain_id=chain).order_by("number").iterator():
        if act.number != expected:
            faults.append(Fault(expected, f"row {expected} is missing"))
        elif act.before != before:
            faults.append(Fault(act.number, f"row {act.number} does not follow the row before it"))
        if act.hash != digest(_row(act, head)):
            faults.append(Fault(act.number, f"row {act.number} was altered"))
        before, expected = act.hash, act.number + 1
    if head is not None and (head.length, head.head) != (expected - 1, before):
        faults.append(Fault(expected, f"the chain ends at row {expected - 1}, its head says {head.length}"))
    return expected - 1, faults


def _row(act: Act, head: Chain | None) -> Row:
    return Row(
        chain=head.key_at(act.number) if head else act.chain_id,
        number=act.number,
        at=act.at,
        actor_id=act.actor_id,
        actor=act.actor,
        action=act.action,
        subject=act.subject,
        detail=act.detail,
        reason=act.reason,
        before=act.before,
    )


def revision(chain: str) -> int:
    """How many acts the chain holds: the number that a live page shows and polls with (1 query)."""
    return Chain.objects.filter(key=chain).values_list("length", flat=True).first() or 0
