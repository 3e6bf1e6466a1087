"""Writing the emergency plan and who stands where."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import F

from events.course.models import LayoutHole
from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.emergency_fields import FIELDS, faults
from events.safety.models import Assignment, EmergencyPlan
from events.setup.models import Event


class DutyRefused(Exception):
    """It cannot be kept as it is; `sentences` say why."""

    def __init__(self, *sentences: str) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


@transaction.atomic
def save_plan(
    *, event: Event, facts: Mapping[str, str], version: int, actor: Actor, now: datetime
) -> EmergencyPlan:
    """Save the plan. `version` is the one that the writer saw, 0 where there was none. Raises DutyRefused."""
    kept = {key: text.strip() for key, text in facts.items() if text.strip()}
    if found := faults(kept):
        raise DutyRefused(*found)
    stale = "Somebody else changed the plan meanwhile. Open it again and look."
    before = EmergencyPlan.objects.filter(event=event).values_list("facts", flat=True).first()
    if version == 0:
        if before is not None:
            raise DutyRefused(stale)
        plan = EmergencyPlan.objects.create(
            event=event, facts=kept, changed_at=now, changed_by=actor.name[:150]
        )
    else:
        claimed = EmergencyPlan.objects.filter(event=event, version=version)
        changed = claimed.update(
            facts=kept, version=F("version") + 1, changed_at=now, changed_by=actor.name[:150]
        )
        if not changed:
            raise DutyRefused(stale)
        plan = EmergencyPlan.objects.get(event=event)
    names = [FIELDS[key].label for key in FIELDS if (before or {}).get(key, "") != kept.get(key, "")]
    _log(event, Action.EMERGENCY_PLAN_CHANGED, f"version {plan.version}", {"changed": names}, actor, now)
    return plan


@transaction.atomic
def assign(
    *,
    event: Event,
    duty: str,
    layout_hole: LayoutHole | None,
    zone: str,
    name: str,
    channel: str,
    shift: str,
    actor: Actor,
    now: datetime,
) -> Assignment:
    """Put somebody at a hole or in a zone. Raises DutyRefused without a name, or without a place."""
    place = f"{layout_hole.layout} {layout_hole.label}" if layout_hole else ""
    place = ", ".join(filter(None, (place, zone.strip())))
    if duty not in Assignment.Duty.values:
        raise DutyRefused("Choose a duty.")
    if not name.strip():
        raise DutyRefused("Write a name.")
    if not place:
        raise DutyRefused("Choose a hole or write a zone.")
    row = Assignment.objects.create(
        event=event,
        duty=duty,
        layout_hole=layout_hole,
        place=place[:80],
        name=name.strip()[:80],
        channel=channel.strip()[:40],
        shift=shift.strip()[:40],
    )
    detail = {"duty": row.get_duty_display(), "place": row.place, "channel": row.channel, "shift": row.shift}
    _log(event, Action.ASSIGNMENT_MADE, row.name, detail, actor, now)
    return row


@transaction.atomic
def unassign(*, assignment: Assignment, actor: Actor, now: datetime) -> None:
    """Take somebody off a duty; the log keeps what it was. Raises DutyRefused when that is done already."""
    detail = {"duty": assignment.get_duty_display(), "place": assignment.place}
    gone, _ = Assignment.objects.filter(pk=assignment.pk).delete()
    if not gone:
        raise DutyRefused(f"{assignment.name} is off this duty already.")
    _log(assignment.event, Action.ASSIGNMENT_ENDED, assignment.name, detail, actor, now)


def _log(
    event: Event, action: Action, subject: str, detail: Mapping[str, object], actor: Actor, now: datetime
) -> None:
    record(chain=event.slug, action=action, subject=subject, actor=actor, now=now, detail=dict(detail))
