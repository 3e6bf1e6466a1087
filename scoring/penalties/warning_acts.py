"""The director's warning for the whole event, and taking any warning back."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event
from scoring.cards.rulings import written_before
from scoring.penalties.models import Warning
from scoring.penalties.refusals import PenaltyRefused, refuse_over

LONGEST_REASON = 200


@transaction.atomic
def warn_for_event(*, entry: Entry, what: str, submission: UUID, actor: Actor, now: datetime) -> Warning:
    """The director's warning that holds for all rounds and playoffs (Competition Manual 2025, 3.03.B).

    Raises PenaltyRefused without words, and once the event is over.
    """
    Entry.objects.select_for_update(of=("self",)).get(pk=entry.pk)
    held = Warning.objects.filter(submission=submission).first()
    if held is not None:
        if (held.entry_id, held.round_id, held.what) != (entry.pk, None, what.strip()):
            raise PenaltyRefused(written_before("warning"))
        return held
    refuse_over(entry.event)
    if not 0 < len(what.strip()) <= LONGEST_REASON:
        raise PenaltyRefused(f"Write what the warning is for, in at most {LONGEST_REASON} letters.")
    warning = Warning.objects.create(
        entry=entry,
        round=None,
        what=what.strip(),
        caller=actor.name[:120],
        submission=submission,
        at=now,
        by=actor.name[:150],
    )
    log(Action.WARNING_GIVEN, warning, entry.event, actor, now)
    return warning


@transaction.atomic
def take_back_warning(*, warning: Warning, reason: str, actor: Actor, now: datetime) -> Warning:
    """It counts no longer and stays to be read. Throws that came after it stay as they are: the director decides.

    Raises PenaltyRefused without a reason, and once the event is over.
    """
    found = Warning.objects.select_for_update(of=("self",)).select_related("entry__event", "entry__person")
    warning = found.get(pk=warning.pk)
    refuse_over(warning.entry.event)
    if not 0 < len(reason.strip()) <= LONGEST_REASON:
        raise PenaltyRefused(f"Write why the warning is taken back, in at most {LONGEST_REASON} letters.")
    if warning.taken_back_at is None:
        warning.taken_back_at, warning.taken_back_by = now, actor.name[:150]
        warning.taken_back_reason = reason.strip()
        warning.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
        log(Action.WARNING_TAKEN_BACK, warning, warning.entry.event, actor, now)
    return warning


def log(action: Action, warning: Warning, event: Event, actor: Actor, now: datetime) -> None:
    detail = {
        "round": warning.round.number if warning.round else "whole event",
        "hole": warning.hole_label,
        "rule": warning.rule,
        "what": warning.what,
        "caller": warning.caller,
        "confirmer": warning.confirmer,
        "taken back": warning.taken_back_at is not None,
    }
    record(
        chain=event.slug,
        action=action,
        subject=warning.entry.person.name,
        actor=actor,
        now=now,
        detail=detail,
        reason=warning.taken_back_reason,
    )
