"""All caps of an event changed at once, from the waitlist page."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from events.entries.services import refuse_when_over
from events.log.services import Actor
from events.setup.models import Division, Event
from events.setup.planning import DivisionRow, save_divisions
from events.setup.services import change_event


@transaction.atomic
def set_caps(
    *,
    event: Event,
    version: int,
    cap: int | None,
    cap_pro: int | None,
    cap_am: int | None,
    divisions: Mapping[int, int | None],
    actor: Actor,
    now: datetime,
) -> Event:
    """The caps of event, classes and divisions (by id); None: no cap. Nobody who is in loses the place.

    `version` is the plan's, as the page showed it. Raises the plan's Stale, and EventOver.
    """
    refuse_when_over(event)
    changed = change_event(
        event=event, version=version, cap=cap, cap_pro=cap_pro, cap_am=cap_am, actor=actor, now=now
    )
    rows = [
        DivisionRow(found.code, found.fee_cents, divisions.get(found.pk, found.cap), found.order)
        for found in Division.objects.filter(event=event)
    ]
    save_divisions(event=changed, version=changed.version, rows=rows, removed=(), actor=actor, now=now)
    return changed
