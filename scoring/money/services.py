"""Writing lines of income and expense, and putting them right."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from events.entries.models import Payment
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event
from scoring.money.models import MoneyLine
from scoring.money.queries import INCOME


class MoneyRefused(Exception):
    """The line or count cannot be; the message is a sentence for the page."""


@transaction.atomic
def write_line(
    *,
    event: Event,
    category: MoneyLine.Category,
    cents: int,
    method: Payment.Method,
    on: date,
    who: str,
    submission: UUID,
    actor: Actor,
    now: datetime,
    receipt: str = "",
    note: str = "",
) -> MoneyLine:
    """Write income or an expense; `cents` above zero either way, the category says which.

    A line that its page sends twice is written once. Raises MoneyRefused.
    """
    event = Event.objects.select_for_update().get(pk=event.pk)
    held = MoneyLine.objects.filter(submission=submission, event=event).first()
    if held is not None:
        return held
    if cents <= 0:
        raise MoneyRefused("An amount is more than zero: a line is put right by reversing it.")
    if not who.strip():
        raise MoneyRefused("Write who gave it, or who was paid.")
    line = MoneyLine.objects.create(
        event=event,
        category=category,
        amount_cents=cents if category in INCOME else -cents,
        method=method,
        on=on,
        who=who.strip()[:120],
        receipt=receipt.strip()[:40],
        note=note.strip()[:200],
        submission=submission,
        at=now,
        by=actor.name[:150],
    )
    _log(Action.MONEY_LINE_WRITTEN, line, actor, now)
    return line


@transaction.atomic
def reverse_line(*, line: MoneyLine, reason: str, submission: UUID, actor: Actor, now: datetime) -> MoneyLine:
    """The same line with the opposite sign, on the same day; both stay.

    A reversal that its page sends twice is written once. Raises MoneyRefused."""
    line = MoneyLine.objects.select_for_update(of=("self",)).select_related("event").get(pk=line.pk)
    held = MoneyLine.objects.filter(submission=submission, undoes=line).first()
    if held is not None:
        return held
    if line.undoes_id is not None or MoneyLine.objects.filter(undoes=line).exists():
        raise MoneyRefused("This line is reversed already.")
    if not reason.strip():
        raise MoneyRefused("Write why the line is reversed.")
    back = MoneyLine.objects.create(
        event=line.event,
        category=line.category,
        amount_cents=-line.amount_cents,
        method=line.method,
        on=line.on,
        who=line.who,
        receipt=line.receipt,
        note=reason.strip()[:200],
        submission=submission,
        at=now,
        by=actor.name[:150],
        undoes=line,
    )
    _log(Action.MONEY_LINE_REVERSED, back, actor, now, reason=back.note)
    return back


def _log(action: Action, line: MoneyLine, actor: Actor, now: datetime, reason: str = "") -> None:
    detail = {
        "line": line.pk,
        "category": line.category,
        "amount_cents": line.amount_cents,
        "method": line.method,
        "on": line.on.isoformat(),
        "receipt": line.receipt,
        "note": line.note,
    }
    record(
        chain=line.event.slug,
        action=action,
        subject=f"{line.get_category_display()}: {line.who}",
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
