"""The cash box: the float at opening, the count at closing, and why the two differ from the lines."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.figures import money_text
from events.setup.models import Event
from scoring.money.denominations import faces_of, sum_of
from scoring.money.models import BoxCount
from scoring.money.queries import CASH, expected_now
from scoring.money.services import MoneyRefused

MOST_PIECES = 9_999  # of one face; a slip of the keys, not a rule


@transaction.atomic
def count_box(
    *,
    event: Event,
    kind: BoxCount.Kind,
    pieces: Mapping[int, int],
    others: Mapping[str, int],
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> BoxCount:
    """Keep a count: `pieces` is face in cents → how many; `others` method → cents read off, without those not read.

    What the lines expect at this moment is kept with it, so that the difference stays what it was. A count that
    its page sends twice is kept once. Raises MoneyRefused.
    """
    event = Event.objects.select_for_update().get(pk=event.pk)
    held = BoxCount.objects.filter(submission=submission, event=event).first()
    if held is not None:
        return held
    faces = faces_of(event.currency)
    if wrong := next((face for face in pieces if face not in faces), None):
        raise MoneyRefused(f"There is no piece of {money_text(wrong, event.currency)}.")
    if any(not 0 <= count <= MOST_PIECES for count in pieces.values()):
        raise MoneyRefused(f"Write 0 to {MOST_PIECES:,} pieces of a kind.")
    counted = sorted(((face, count) for face, count in pieces.items() if count), reverse=True)
    count = BoxCount.objects.create(
        event=event,
        kind=kind,
        pieces=counted,
        counted={CASH.value: sum_of(counted), **(others if kind == BoxCount.Kind.CLOSING else {})},
        expected=expected_now(event) if kind == BoxCount.Kind.CLOSING else {},
        submission=submission,
        at=now,
        by=actor.name[:150],
    )
    _log(Action.BOX_COUNTED, count, actor, now, {"counted": count.counted, "expected": count.expected})
    return count


@transaction.atomic
def explain_difference(*, count: BoxCount, reason: str, actor: Actor, now: datetime) -> BoxCount:
    """Why a count differs. The newest reason stands, the log keeps those before. Raises MoneyRefused."""
    count = BoxCount.objects.select_for_update(of=("self",)).select_related("event").get(pk=count.pk)
    if not any(count.differences.values()):
        raise MoneyRefused("Nothing differs: there is nothing to explain.")
    if not reason.strip():
        raise MoneyRefused("Write why it differs.")
    count.reason, count.reason_by = reason.strip()[:300], actor.name[:150]
    count.save(update_fields=["reason", "reason_by"])
    _log(Action.BOX_EXPLAINED, count, actor, now, {"differences": count.differences}, count.reason)
    return count


def _log(
    action: Action, count: BoxCount, actor: Actor, now: datetime, detail: dict[str, object], reason: str = ""
) -> None:
    record(
        chain=count.event.slug,
        action=action,
        subject=count.get_kind_display(),
        actor=actor,
        now=now,
        detail={"count": count.pk, **detail},
        reason=reason,
    )
